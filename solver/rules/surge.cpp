// surge: the pressure rise when one open valve closes at once (Joukowsky), in every pipe on its supply side:
//
//     dp = rho a |dV|,    a = sqrt(K/rho) / sqrt(1 + (K/E)(D/t))     (Korteweg)
//
// rho, K: density and bulk modulus of the water; E, D, t: modulus, bore and wall of the pipe; dV: the
// velocity in the run less that in the run without the valve. The largest of the open valves counts. A valve
// that takes longer to close than the wave takes to the supply and back makes less.
#include <limits>

#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

// Each closing takes a balance of its own: of very many valves those that pass most, in the order of the run.
constexpr std::size_t most_closed = 100;

std::vector<Index> valves_to_close(const RunCase& run, RunFindings& found) {
    std::vector<Index> valves = run.result.open;
    if (valves.size() <= most_closed) return valves;
    const auto flow = [&](Index valve) { return run.result.valve_flow[at(valve)]; };
    std::vector<Index> by_flow = valves;
    std::stable_sort(by_flow.begin(), by_flow.end(), [&](Index a, Index b) { return flow(a) > flow(b); });
    std::vector<char> chosen(run.system.valves.size(), 0);
    for (std::size_t i = 0; i < most_closed; ++i) chosen[at(by_flow[i])] = 1;
    std::erase_if(valves, [&](Index valve) { return !chosen[at(valve)]; });
    found.not_checked.push_back({RuleId::surge,
                                 {ElementKind::run, run.result.run},
                                 "only the 100 valves that pass most were closed, one at a time"});
    return valves;
}

void judge_run(const RunCase& run, RunFindings& found) {
    const RuleLimit& limit = run.basis[RuleId::surge];
    const Index top = found.top_surge_pipe;
    if (limit.off || found.surge.empty() || top == model::none) return;
    note(found, RuleId::surge, {ElementKind::pipe, top}, found.surge[at(top)],
         limit.has_value ? limit.value : std::numeric_limits<double>::quiet_NaN(), true,
         model::Dimension::pressure,
         limit.has_value && outside(found.surge[at(top)], limit.value, true, model::Dimension::pressure));
    if (!limit.has_value || found.surge[at(top)] * (1 + 1e-8) <= limit.value) return;
    for (const Index pipe : run.basis.surge_pipes) {
        const double surge = found.surge[at(pipe)];
        if (!outside(surge, limit.value, true, model::Dimension::pressure)) continue;
        Finding finding = make_finding(RuleId::surge, {ElementKind::pipe, pipe}, surge, limit.value, true,
                                       model::Dimension::pressure);
        finding.source = limit_source(run.basis, RuleId::surge);
        finding.also = {{ElementKind::valve, found.surge_valve[at(pipe)]}};
        found.findings.push_back(std::move(finding));
    }
}

void judge_system(const SystemCase& whole, SystemFindings& found) {
    if (whole.system.valves.empty()) return;
    for (std::size_t p = 0; p < whole.system.pipes.size(); ++p) {
        if (!whole.layout.pipe_on_mainline[p] || !std::isnan(whole.basis.surge_per_flow[p])) continue;
        const model::PipeSize& size = *whole.system.pipes[p].size;
        const bool wall = size.wall > 0 || size.outside > size.bore.value;
        found.not_checked.push_back({RuleId::surge,
                                     {ElementKind::pipe, static_cast<Index>(p)},
                                     wall ? "no modulus of its material" : "no wall"});
    }
}

}  // namespace

double wave_speed(double bulk_modulus, double density, double modulus, double bore_over_wall) {
    return std::sqrt(bulk_modulus / density) / std::sqrt(1 + bulk_modulus / modulus * bore_over_wall);
}

void find_surge(const RunCase& run, RunFindings& found) {
    const bool wanted = !run.basis[RuleId::surge].off || !run.basis[RuleId::pipe_rating].off;
    if (run.result.open.empty() || !run.context.without_valve || !wanted) {
        found.surge.clear();
        found.surge_valve.clear();
        return;
    }
    if (found.surge.size() != run.system.pipes.size()) {
        found.surge.assign(run.system.pipes.size(), 0);
        found.surge_valve.assign(run.system.pipes.size(), model::none);
        for (std::size_t p = 0; p < found.surge.size(); ++p)
            if (run.layout.pipe_on_mainline[p] && std::isnan(run.basis.surge_per_flow[p]))
                found.surge[p] = std::numeric_limits<double>::quiet_NaN();
    }
    double top = 0;
    bool first = true;  // of the valves that can be judged: its surges replace what the memory held
    for (const Index valve : valves_to_close(run, found)) {
        const RunResult& without = run.context.without_valve(valve);
        if (!balanced(&without)) {
            found.not_checked.push_back(
                {RuleId::surge, {ElementKind::valve, valve}, "the run without this valve has no solution"});
            continue;
        }
        for (const Index pipe : run.basis.surge_pipes) {
            const double change = std::abs(run.result.pipe_flow[at(pipe)] - without.pipe_flow[at(pipe)]);
            const double surge = run.basis.surge_per_flow[at(pipe)] * change;
            if (first || surge > found.surge[at(pipe)]) {
                found.surge[at(pipe)] = surge;
                found.surge_valve[at(pipe)] = surge > 0 ? valve : model::none;
            }
            if (clearly_above(surge, top)) {
                top = surge;
                found.top_surge_pipe = pipe;
                found.top_surge_valve = valve;
            }
        }
        first = false;
    }
    if (!first) return;
    for (const Index pipe : run.basis.surge_pipes) {
        found.surge[at(pipe)] = 0;
        found.surge_valve[at(pipe)] = model::none;
    }
}

Rule surge_rule() {
    return {{RuleId::surge, "surge", model::Dimension::pressure, false, false, 0, "Joukowsky"},
            judge_run,
            judge_system};
}

}  // namespace evenhead::solver
