// spacing: from a head to the nearest other of its zone it is no further than a share of how far it throws in
// the run. Needs coordinates and a radius; on request only.
#include <algorithm>
#include <limits>

#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

using model::Dimension;

struct Neighbour {
    Index head = model::none;
    double distance = std::numeric_limits<double>::infinity();  // m
};

Neighbour nearest(const RunCase& run, const std::vector<Index>& heads, Index head) {
    const auto point = [&](Index of) -> const model::Point& {
        return run.system.points[at(run.system.heads[at(of)].point)];
    };
    const auto x = known(point(head).x), y = known(point(head).y);
    Neighbour found;
    if (!x || !y) return found;
    for (const Index other : heads) {
        const auto there_x = known(point(other).x), there_y = known(point(other).y);
        if (other == head || !there_x || !there_y) continue;
        const double distance = std::hypot(*there_x - *x, *there_y - *y);
        if (distance < found.distance) found = {other, distance};
    }
    return found;
}

void judge_run(const RunCase& run, RunFindings& found) {
    const RuleLimit& limit = run.basis[RuleId::spacing];
    if (limit.off) return;
    for (const Index valve : run.result.open) {
        const std::vector<Index>& heads = run.layout.zone_heads[at(valve)];
        if (heads.size() < 2) continue;
        for (const Index head : heads) {
            const double radius = run.result.head_radius[at(head)];
            const Neighbour neighbour = nearest(run, heads, head);
            if (neighbour.head == model::none || !(radius > 0)) continue;
            const ElementRef subject{ElementKind::head, head};
            const double most = limit.value * radius;
            if (!judge(found, RuleId::spacing, subject, neighbour.distance, most, true, Dimension::length))
                continue;
            Finding finding =
                make_finding(RuleId::spacing, subject, neighbour.distance, most, true, Dimension::length);
            finding.source = limit_source(run.basis, RuleId::spacing);
            finding.detail = "a share of its throw in this run";
            finding.also = {{ElementKind::head, neighbour.head}};
            found.findings.push_back(std::move(finding));
        }
    }
}

void judge_system(const SystemCase& whole, SystemFindings& found) {
    for (std::size_t h = 0; h < whole.system.heads.size(); ++h) {
        const model::Head& head = whole.system.heads[h];
        const model::Point& point = whole.system.points[at(head.point)];
        const ElementRef subject{ElementKind::head, static_cast<Index>(h)};
        if (!known(point.x) || !known(point.y))
            found.not_checked.push_back({RuleId::spacing, subject, "it has no coordinates"});
        else if (head.nozzle == model::none || whole.system.nozzles[at(head.nozzle)].radius.empty())
            found.not_checked.push_back({RuleId::spacing, subject, "its nozzle gives no radius"});
    }
}

}  // namespace

Rule spacing_rule() {
    return {{RuleId::spacing, "spacing", Dimension::share, false, false, 0, "common practice", true},
            judge_run,
            judge_system};
}

}  // namespace evenhead::solver
