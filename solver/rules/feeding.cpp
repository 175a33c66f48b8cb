// short-flow: a constant draw gets its full flow. unfed: every head gets water in some run. two-valves: no
// head is fed through two valves.
#include <algorithm>

#include <boost/pending/disjoint_sets.hpp>

#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

void judge_short_flow(const RunCase& run, RunFindings& found) {
    if (run.basis[RuleId::short_flow].off) return;
    for (const Index head : run.running) {
        const Index index = run.system.heads[at(head)].nozzle;
        if (index == model::none) continue;
        const model::Nozzle& nozzle = run.system.nozzles[at(index)];
        if (nozzle.rows.size() != 1 || nozzle.exponent != 0) continue;
        const double flow = run.result.head_flow[at(head)], full = nozzle.rows.front().value.value;
        const ElementRef subject{ElementKind::head, head};
        if (!judge(found, RuleId::short_flow, subject, flow, full, false, model::Dimension::flow)) continue;
        Finding finding =
            make_finding(RuleId::short_flow, subject, flow, full, false, model::Dimension::flow);
        finding.source = "nozzle's flow";
        found.findings.push_back(std::move(finding));
    }
}

/// Runs that could water a head and have no solution leave it open.
std::vector<char> heads_of_failed_runs(const SystemCase& whole) {
    std::vector<char> heads(whole.system.heads.size(), 0);
    for (std::size_t r = 0; r < whole.context.run_states.size(); ++r) {
        if (whole.context.run_states[r] != RunState::failed) continue;
        for (const Index head : whole.layout.heads_on_mainline) heads[at(head)] = 1;
        for (const Index valve : whole.system.runs[r].valves)
            for (const Index head : whole.layout.zone_heads[at(valve)]) heads[at(head)] = 1;
    }
    return heads;
}

// What is closed between the points that supplies reach and each region that they do not.
class Closed {
  public:
    explicit Closed(const SystemCase& whole)
        : reached_(whole.layout.point_reached), regions_(reached_.size()), on_the_way_(reached_.size()) {
        if (whole.layout.heads_unfed.empty()) return;
        for (const model::Pipe& pipe : whole.system.pipes) {
            if (!pipe.closed && !reached_[at(pipe.from)] && !reached_[at(pipe.to)])
                regions_.union_set(at(pipe.from), at(pipe.to));
        }
        std::vector<Index> device_at(reached_.size(), model::none);
        for (std::size_t d = 0; d < whole.system.devices.size(); ++d) {
            if (whole.system.devices[d].closed)
                device_at[at(whole.system.devices[d].point)] = static_cast<Index>(d);
        }
        for (std::size_t p = 0; p < whole.system.pipes.size(); ++p) {
            const model::Pipe& pipe = whole.system.pipes[p];
            if (reached_[at(pipe.from)] == reached_[at(pipe.to)]) continue;
            const Index inside = reached_[at(pipe.from)] ? pipe.to : pipe.from;
            const Index device = device_at[at(inside == pipe.to ? pipe.from : pipe.to)];
            if (pipe.closed) {
                add(inside, {ElementKind::pipe, static_cast<Index>(p)});
            } else if (device != model::none) {
                add(inside, {ElementKind::device, device});
            }
        }
    }

    const std::vector<ElementRef>& on_the_way_to(Index point) {
        return on_the_way_[regions_.find_set(at(point))];
    }

  private:
    void add(Index point, ElementRef element) {
        std::vector<ElementRef>& closed = on_the_way_[regions_.find_set(at(point))];
        if (std::find(closed.begin(), closed.end(), element) == closed.end()) closed.push_back(element);
    }

    const std::vector<char>& reached_;
    boost::disjoint_sets_with_storage<> regions_;      // of points that no supply reaches
    std::vector<std::vector<ElementRef>> on_the_way_;  // by region
};

void judge_unfed(const SystemCase& whole, SystemFindings& found) {
    Closed closed(whole);
    bool all_asked = true;
    for (const RunState state : whole.context.run_states) all_asked &= state != RunState::not_asked;
    std::vector<char> no_way(whole.system.heads.size(), 0);
    for (const Index head : whole.layout.heads_unfed) no_way[at(head)] = 1;
    const std::vector<char> undecided = heads_of_failed_runs(whole);
    for (std::size_t h = 0; h < whole.system.heads.size(); ++h) {
        const ElementRef subject{ElementKind::head, static_cast<Index>(h)};
        const bool watered = h < whole.context.head_watered.size() && whole.context.head_watered[h] != 0;
        if (watered) continue;
        if (!no_way[h] && undecided[h]) {
            found.not_checked.push_back(
                {RuleId::unfed, subject, "a run that would water it has no solution"});
        } else if (no_way[h] || all_asked) {
            note(found, RuleId::unfed, subject, 0, 1, false, model::Dimension::none, true);
            Finding finding = make_finding(RuleId::unfed, subject, 0, 1, false, model::Dimension::none);
            finding.detail = no_way[h] ? "no open way leads to it from a supply"
                                       : "no run opens its valve, or its pressure is too low";
            if (no_way[h]) finding.also = closed.on_the_way_to(whole.system.heads[h].point);
            found.findings.push_back(std::move(finding));
        }
    }
}

void judge_two_valves(const SystemCase& whole, SystemFindings& found) {
    for (const Index head : whole.layout.heads_two_valves) {
        const auto zones = whole.layout.zone_of_point[at(whole.system.heads[at(head)].point)];
        Finding finding = make_finding(RuleId::two_valves, {ElementKind::head, head},
                                       static_cast<double>(zones.size()), 1, true, model::Dimension::none);
        note(found, RuleId::two_valves, finding.subject, finding.value, 1, true, model::Dimension::none,
             true);
        for (const Index valve : zones) finding.also.push_back({ElementKind::valve, valve});
        found.findings.push_back(std::move(finding));
    }
}

}  // namespace

Rule short_flow_rule() {
    return {{RuleId::short_flow, "short-flow", model::Dimension::none, false, false, 0, "nozzle's flow"},
            judge_short_flow};
}

Rule unfed_rule() {
    return {{RuleId::unfed, "unfed", model::Dimension::none, false, false, 0, ""}, nullptr, judge_unfed};
}

Rule two_valves_rule() {
    return {{RuleId::two_valves, "two-valves", model::Dimension::none, false, false, 0, ""},
            nullptr,
            judge_two_valves};
}

}  // namespace evenhead::solver
