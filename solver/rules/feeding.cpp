// short-flow: a constant draw gets its full flow. unfed: every head gets water in some run. two-valves: no
// head is fed through two valves.
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
        if (!outside(flow, full, false, model::Dimension::flow)) continue;
        Finding finding = make_finding(RuleId::short_flow, {ElementKind::head, head}, flow, full, false,
                                       model::Dimension::flow);
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

// What is closed between a point that supplies reach and one that they do not.
std::vector<ElementRef> closed_on_the_way(const SystemCase& whole) {
    const std::vector<char>& reached = whole.layout.point_reached;
    std::vector<char> leads_on(reached.size(), 0),
        is_fed(reached.size(), 0);  // by point: to what its pipes lead
    std::vector<ElementRef> closed;
    for (std::size_t p = 0; p < whole.system.pipes.size(); ++p) {
        const model::Pipe& pipe = whole.system.pipes[p];
        if (pipe.closed && reached[at(pipe.from)] != reached[at(pipe.to)])
            closed.push_back({ElementKind::pipe, static_cast<Index>(p)});
        if (pipe.closed) continue;
        for (const auto& [point, other] : {std::pair{pipe.from, pipe.to}, std::pair{pipe.to, pipe.from}})
            (reached[at(other)] ? is_fed : leads_on)[at(point)] = 1;
    }
    for (std::size_t d = 0; d < whole.system.devices.size(); ++d) {
        const model::Device& device = whole.system.devices[d];
        if (device.closed && is_fed[at(device.point)] && leads_on[at(device.point)])
            closed.push_back({ElementKind::device, static_cast<Index>(d)});
    }
    return closed;
}

void judge_unfed(const SystemCase& whole, SystemFindings& found) {
    const std::vector<ElementRef> closed = closed_on_the_way(whole);
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
            Finding finding = make_finding(RuleId::unfed, subject, 0, 1, false, model::Dimension::none);
            finding.detail = no_way[h] ? "no open way leads to it from a supply"
                                       : "no run opens its valve, or its pressure is too low";
            if (no_way[h]) finding.also = closed;
            found.findings.push_back(std::move(finding));
        }
    }
}

void judge_two_valves(const SystemCase& whole, SystemFindings& found) {
    for (const Index head : whole.layout.heads_two_valves) {
        const std::vector<Index>& zones = whole.layout.zone_of_point[at(whole.system.heads[at(head)].point)];
        Finding finding = make_finding(RuleId::two_valves, {ElementKind::head, head},
                                       static_cast<double>(zones.size()), 1, true, model::Dimension::none);
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
