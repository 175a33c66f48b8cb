// below-atmosphere: no point sucks while water runs. A leak there lets soil water in (backflow).
#include <algorithm>

#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

void judge_run(const RunCase& run, RunFindings& found) {
    const RuleLimit& limit = run.basis[RuleId::below_atmosphere];
    if (limit.off) return;
    // NaN where no supply reaches: then nothing is outside.
    const auto judge_at = [&](ElementKind kind, Index index, double pressure) {
        if (!judge(found, RuleId::below_atmosphere, {kind, index}, pressure, limit.value, false,
                   model::Dimension::pressure))
            return;
        Finding finding = make_finding(RuleId::below_atmosphere, {kind, index}, pressure, limit.value, false,
                                       model::Dimension::pressure);
        finding.source = limit_source(run.basis, RuleId::below_atmosphere);
        found.findings.push_back(std::move(finding));
    };
    const RunResult& result = run.result;
    if (found.worst.empty() && result.lowest_pressure >= limit.value) return;
    for_each(result.concerned.points,
             [&](Index i) { judge_at(ElementKind::point, i, result.point_pressure[at(i)]); });
    for_each(result.concerned.devices, [&](Index i) {
        judge_at(ElementKind::device, i, std::fmin(result.device_inlet[at(i)], result.device_outlet[at(i)]));
    });
    for_each(result.concerned.valves, [&](Index i) {
        const double pressure = std::fmin(result.valve_inlet[at(i)], result.valve_outlet[at(i)]);
        // A head's own valve stands at the head's point, judged above.
        if (run.system.valves[at(i)].head == model::none) judge_at(ElementKind::valve, i, pressure);
    });
}

}  // namespace

Rule below_atmosphere_rule() {
    return {{RuleId::below_atmosphere, "below-atmosphere", model::Dimension::pressure, false, true, 0,
             "common practice (backflow)"},
            judge_run};
}

}  // namespace evenhead::solver
