// stated: what a drawing claims of a head or a valve beside what is computed: flow and pressure differ by no
// more than a share of what is stated. Of a head the pressure is that at its nozzle, of a valve that at its
// outlet.
#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

using model::Dimension;

void judge_claim(const RunCase& run, ElementRef subject, const std::optional<double>& stated, double computed,
                 Dimension dimension, RunFindings& found) {
    if (!stated || std::isnan(computed)) return;
    const double allowed = run.basis[RuleId::stated].value * std::abs(*stated);
    const bool upper = computed > *stated;
    const double limit = upper ? *stated + allowed : *stated - allowed;
    if (!judge(found, RuleId::stated, subject, computed, limit, upper, dimension)) return;
    Finding finding = make_finding(RuleId::stated, subject, computed, limit, upper, dimension);
    finding.source = dimension == Dimension::flow ? "its stated_flow" : "its stated_pressure";
    if (run.basis[RuleId::stated].given) finding.source += ", " + limit_source(run.basis, RuleId::stated);
    found.findings.push_back(std::move(finding));
}

void judge_run(const RunCase& run, RunFindings& found) {
    if (run.basis[RuleId::stated].off) return;
    for (const Index index : run.running) {
        const model::Head& head = run.system.heads[at(index)];
        if (!head.stated_flow && !head.stated_pressure) continue;
        const ElementRef subject{ElementKind::head, index};
        judge_claim(run, subject, known(head.stated_flow), run.result.head_flow[at(index)], Dimension::flow,
                    found);
        judge_claim(run, subject, known(head.stated_pressure), run.result.head_pressure[at(index)],
                    Dimension::pressure, found);
    }
    for (const Index index : run.result.open) {
        const model::Valve& valve = run.system.valves[at(index)];
        const ElementRef subject{ElementKind::valve, index};
        judge_claim(run, subject, known(valve.stated_flow), run.result.valve_flow[at(index)], Dimension::flow,
                    found);
        judge_claim(run, subject, known(valve.stated_pressure), run.result.valve_outlet[at(index)],
                    Dimension::pressure, found);
    }
}

}  // namespace

Rule stated_rule() {
    return {{RuleId::stated, "stated", Dimension::share, false, true, 0.05, "the drawing"}, judge_run};
}

}  // namespace evenhead::solver
