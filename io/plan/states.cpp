#include "io/plan/states.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "model/position.hpp"
#include "solver/worksheet/worksheet.hpp"

namespace evenhead::io {
namespace {

using solver::ElementKind;
using solver::ElementRef;
using solver::Finding;

/// How bad a state is, to keep the worst of several runs.
int badness(HeadState state) {
    switch (state) {
        case HeadState::off:
            return 0;
        case HeadState::within:
            return 1;
        case HeadState::high:
            return 2;
        case HeadState::low:
            return 3;
        case HeadState::dry:
            return 4;
    }
    return 0;
}

/// Flows below this are what the balance leaves open, not water: 1e-9 gpm.
constexpr double no_flow = 6.3e-14;  // m3/s

void tidy(std::vector<Index>& list) {
    std::sort(list.begin(), list.end());
    list.erase(std::unique(list.begin(), list.end()), list.end());
}

std::vector<Index>* over_list(RunMarks& marks, ElementKind kind) {
    switch (kind) {
        case ElementKind::point:
            return &marks.over_points;
        case ElementKind::pipe:
            return &marks.over_pipes;
        case ElementKind::device:
            return &marks.over_devices;
        case ElementKind::valve:
            return &marks.over_valves;
        case ElementKind::head:
            return &marks.over_heads;
        case ElementKind::supply:
            return &marks.over_supplies;
        case ElementKind::run:
            break;
    }
    return nullptr;
}

/// Where the mark of a head stands; the end where it is off.
template <class Marks>
auto find_mark(Marks& heads, Index head) {
    const auto found =
        std::lower_bound(heads.begin(), heads.end(), head,
                         [](const HeadMark& mark, Index wanted) { return mark.head < wanted; });
    return found != heads.end() && found->head == head ? found : heads.end();
}

constexpr std::array over_lists{&RunMarks::over_points, &RunMarks::over_pipes, &RunMarks::over_devices,
                                &RunMarks::over_valves, &RunMarks::over_heads, &RunMarks::over_supplies};

void add_over(RunMarks& marks, const std::vector<Finding>& findings) {
    for (const Finding& finding : findings) {
        if (!finding.fails) continue;
        marks.outside = true;
        if (auto* list = over_list(marks, finding.subject.kind);
            list != nullptr && finding.subject.index >= 0)
            list->push_back(finding.subject.index);
    }
    for (const auto list : over_lists) tidy(marks.*list);
}

/// Pipes, devices and valves of the worksheet of a head, each once, in the order of the water.
std::vector<ElementRef> way_to(const model::System& system, const model::Layout& layout,
                               const solver::RunResult& result, Index head) {
    std::vector<ElementRef> way;
    try {
        for (const auto& line : solver::make_worksheet(system, layout, result, head).lines) {
            const ElementKind kind = line.subject.kind;
            if (kind != ElementKind::pipe && kind != ElementKind::device && kind != ElementKind::valve)
                continue;
            if (way.empty() || !(way.back() == line.subject)) way.push_back(line.subject);
        }
    } catch (const std::invalid_argument&) {
        way.clear();  // no water reaches it: there is no way
    }
    return way;
}

void keep_most(std::vector<Passed>& passed, const std::vector<double>& flows,
               const std::vector<double>* velocities, const solver::Spans& rows, Index run) {
    solver::for_each(rows, [&](Index row) {
        const double flow = std::abs(flows[at(row)]);
        Passed& most = passed[at(row)];
        if (flow > most.flow) most = {flow, velocities == nullptr ? 0 : (*velocities)[at(row)], run};
    });
}

}  // namespace

const HeadMark* RunMarks::mark(Index head) const {
    const auto found = find_mark(heads, head);
    return found == heads.end() ? nullptr : &*found;
}

HeadState RunMarks::state(Index head) const {
    const HeadMark* found = mark(head);
    return found == nullptr ? HeadState::off : found->state;
}

PlanMarks::PlanMarks(const model::System& system, const model::Layout& layout, bool every_way)
    : system_(system),
      layout_(layout),
      every_way_(every_way),
      worst_heads_(system.heads.size()),
      pipes_(system.pipes.size()),
      devices_(system.devices.size()),
      valves_(system.valves.size()) {
    for (HeadMark& mark : worst_heads_) mark.state = HeadState::off;
}

void PlanMarks::add(const solver::RunResult& result, const solver::RunFindings& findings) {
    RunMarks marks;
    marks.run = result.run;
    marks.open = result.open;
    tidy(marks.open);
    if (result.failure) {
        marks.solved = false;
        marks.outside = true;
        worst_.solved = false;
        runs_.push_back(std::move(marks));
        return;
    }
    add_over(marks, findings.findings);

    std::vector<Index> watered = layout_.heads_on_mainline;
    for (const Index valve : marks.open)
        if (at(valve) < layout_.zone_heads.size())
            watered.insert(watered.end(), layout_.zone_heads[at(valve)].begin(),
                           layout_.zone_heads[at(valve)].end());
    tidy(watered);
    for (const Index head : watered) {
        HeadMark mark;
        mark.head = head;
        mark.run = result.run;
        mark.pressure = result.head_pressure[at(head)];
        mark.flow = result.head_flow[at(head)];
        mark.radius = result.head_radius[at(head)];
        if (std::isnan(mark.pressure) || !(mark.flow > no_flow)) mark.state = HeadState::dry;
        marks.heads.push_back(mark);
    }
    for (const Finding& finding : findings.findings) {
        if (finding.rule != solver::RuleId::head_pressure || !finding.fails) continue;
        const auto found = find_mark(marks.heads, finding.subject.index);
        if (found != marks.heads.end() && found->state != HeadState::dry)
            found->state = finding.upper ? HeadState::high : HeadState::low;
    }
    for (const HeadMark& mark : marks.heads) {
        HeadMark& worst = worst_heads_[at(mark.head)];
        const bool farther =
            mark.state == HeadState::high ? mark.pressure > worst.pressure : mark.pressure < worst.pressure;
        if (badness(mark.state) > badness(worst.state) || (mark.state == worst.state && farther))
            worst = mark;
    }

    marks.critical_head = findings.critical_head;
    marks.critical_margin = findings.critical_margin;
    marks.critical_run = result.run;
    const bool least = !(findings.critical_margin >= least_margin_);
    if (findings.critical_margin < least_margin_) least_margin_ = findings.critical_margin;
    if (findings.critical_head != model::none && (every_way_ || least))
        marks.way = way_to(system_, layout_, result, findings.critical_head);

    for (const auto list : over_lists)
        (worst_.*list).insert((worst_.*list).end(), (marks.*list).begin(), (marks.*list).end());
    worst_.outside = worst_.outside || marks.outside;
    keep_most(pipes_, result.pipe_flow, &result.pipe_velocity, result.concerned.pipes, result.run);
    keep_most(devices_, result.device_flow, nullptr, result.concerned.devices, result.run);
    keep_most(valves_, result.valve_flow, nullptr, result.concerned.valves, result.run);
    runs_.push_back(std::move(marks));
}

void PlanMarks::finish(const solver::CheckSummary& summary) {
    summary_ = summary;
    add_over(worst_, summary.findings);
    worst_.outside = !summary.within_limits;
    // A head that gets water in no run is dry, whatever runs.
    for (const Finding& finding : summary.findings)
        if (finding.rule == solver::RuleId::unfed && finding.subject.kind == ElementKind::head)
            worst_heads_[at(finding.subject.index)].state = HeadState::dry;
    for (std::size_t head = 0; head < worst_heads_.size(); ++head) {
        if (worst_heads_[head].state == HeadState::off) continue;
        worst_heads_[head].head = static_cast<Index>(head);
        worst_.heads.push_back(worst_heads_[head]);
    }
    for (const RunMarks& run : runs_) worst_.open.insert(worst_.open.end(), run.open.begin(), run.open.end());
    tidy(worst_.open);
    worst_.critical_head = summary.critical_head;
    worst_.critical_run = summary.critical_run;
    worst_.critical_margin = summary.critical_margin;
    if (const RunMarks* run = of_run(summary.critical_run)) worst_.way = run->way;
}

const RunMarks* PlanMarks::of_run(Index run) const {
    for (const RunMarks& marks : runs_)
        if (marks.run == run) return &marks;
    return nullptr;
}

}  // namespace evenhead::io
