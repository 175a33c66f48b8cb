#include "solver/runs/judge.hpp"

#include <algorithm>
#include <iterator>

namespace evenhead::solver {

JudgeBasis::JudgeBasis(const model::System& of, const model::Layout& its_layout)
    : system(of),
      layout(its_layout),
      network(build_network(of, its_layout)),
      prepared(prepare(network)),
      rules(prepare_rules(of, its_layout)),
      all_shut(balance_shut(of, network)) {
    // Rules ask what stands where; the rest would be as much memory again.
    for (auto* column : {&all_shut.pipe_flow, &all_shut.pipe_velocity, &all_shut.pipe_loss,
                         &all_shut.head_flow, &all_shut.head_pressure, &all_shut.head_radius})
        *column = {};
    Balancer(system, network, prepared).balance_flows(model::none, {}, none_open);
    for (const Index pipe : rules.surge_pipes)
        most_surge_per_flow =
            std::max(most_surge_per_flow, rules.surge_per_flow[static_cast<std::size_t>(pipe)]);
}

RuleContext RunJudge::context(Index run, const std::vector<Index>& open, bool surge) {
    RuleContext context;
    context.basis = &basis_.rules;
    context.all_shut = &basis_.all_shut;
    context.keep_worst = keep_worst_;
    if (!surge) return context;
    context.without_valve = [this, run, &open](Index valve) -> const RunResult& {
        if (open.size() == 1) return basis_.none_open;
        std::vector<Index> others;
        std::copy_if(open.begin(), open.end(), std::back_inserter(others),
                     [&](Index v) { return v != valve; });
        balancer_.balance_flows(run, others, without_);
        return without_;
    };
    return context;
}

void RunJudge::judge(Index run, const std::vector<Index>& open, Judged& judged) {
    balancer_.balance(run, open, judged.result, record_steps_);
    judge_run(basis_.system, basis_.layout, judged.result, context(run, open, true), judged.findings);
}

/// When a valve closes, what it drew is taken from the pipes, and heads elsewhere take up some of it: as all
/// laws rise, what changes flows one way, from where less is drawn to where more comes from, and no pipe
/// changes by more than that valve drew.
bool RunJudge::surge_may_fail(const Judged& judged) const {
    double flow = 0;
    for (const Index valve : judged.result.open)
        flow = std::max(flow, judged.result.valve_flow[static_cast<std::size_t>(valve)]);
    const double most = flow * basis_.most_surge_per_flow * (1 + 1e-6);
    const RuleLimit& surge = basis_.rules[RuleId::surge];
    return (!surge.off && surge.has_value && most > surge.value) ||
           (!basis_.rules[RuleId::pipe_rating].off &&
            judged.result.highest_pressure + most > basis_.rules.least_allowed);
}

bool RunJudge::passes(const std::vector<Index>& open, Judged& judged) {
    balancer_.balance(model::none, open, judged.result);
    judge_run(basis_.system, basis_.layout, judged.result, context(model::none, open, false),
              judged.findings);
    if (!within_limits(judged) || !surge_may_fail(judged)) return within_limits(judged);
    judge_run(basis_.system, basis_.layout, judged.result, context(model::none, open, true), judged.findings);
    return within_limits(judged);
}

bool within_limits(const Judged& judged) {
    return !judged.result.failure && judged.result.closure.solved &&
           std::none_of(judged.findings.findings.begin(), judged.findings.findings.end(),
                        [](const Finding& finding) { return finding.fails; });
}

}  // namespace evenhead::solver
