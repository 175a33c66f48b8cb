// velocity: at most 5 ft/s in every pipe. Common practice for plastic pipe, and in plumbing codes of Florida
// counties.
#include "solver/rules/velocity.hpp"

#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

void judge_run(const RunCase& run, RunFindings& found) {
    const RuleLimit& limit = run.basis[RuleId::velocity];
    if (limit.off) return;
    const Index top = found.top_velocity_pipe;
    if (top == model::none) return;
    if (!limit.differs_by_material && run.result.pipe_velocity[at(top)] * (1 + 1e-8) <= limit.value) {
        note(found, RuleId::velocity, {ElementKind::pipe, top}, run.result.pipe_velocity[at(top)],
             limit.value, true, model::Dimension::velocity, false);
        return;  // none is above
    }
    for_each(run.result.concerned.pipes, [&](Index pipe) {
        const double velocity = run.result.pipe_velocity[at(pipe)],
                     most = most_velocity(limit, run.system.pipes[at(pipe)].size->material);
        const ElementRef subject{ElementKind::pipe, pipe};
        if (!judge(found, RuleId::velocity, subject, velocity, most, true, model::Dimension::velocity))
            return;
        Finding finding =
            make_finding(RuleId::velocity, subject, velocity, most, true, model::Dimension::velocity);
        finding.source = limit_source(run.basis, RuleId::velocity);
        found.findings.push_back(std::move(finding));
    });
}

}  // namespace

Rule velocity_rule() {
    return {{RuleId::velocity, "velocity", model::Dimension::velocity, false, true, 1.524,
             "common practice for plastic pipe"},
            judge_run};
}

}  // namespace evenhead::solver
