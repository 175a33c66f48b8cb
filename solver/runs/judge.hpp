// One set of open valves at a time, balanced and judged by the rules: what `check` does with each run of a
// case, for runs that stand in the case and for sets that do not.
#pragma once

#include <vector>

#include "solver/balance/balance.hpp"
#include "solver/rules/rules.hpp"

namespace evenhead::solver {

struct Judged {
    RunResult result;
    RunFindings findings;
};

/// What all judges of a system share, read by any number of threads. System and layout must outlive it.
struct JudgeBasis {
    JudgeBasis(const model::System& of, const model::Layout& its_layout);
    JudgeBasis(const JudgeBasis&) = delete;
    JudgeBasis& operator=(const JudgeBasis&) = delete;

    const model::System& system;
    const model::Layout& layout;
    Network network;
    Prepared prepared;
    RuleBasis rules;
    RunResult all_shut;              ///< pressures
    RunResult none_open;             ///< flows
    double most_surge_per_flow = 0;  ///< Pa per m3/s: of all pipes whose surge is known
};

/// Balances and judges; one for each thread, and the same from any.
class RunJudge {
  public:
    explicit RunJudge(const JudgeBasis& basis, bool record_steps = false, bool keep_worst = false)
        : basis_(basis),
          record_steps_(record_steps),
          keep_worst_(keep_worst),
          balancer_(basis.system, basis.network, basis.prepared) {}

    /// `run` is only noted (none: a set that is no run). `judged` may hold another run of the same system:
    /// its memory is used again.
    void judge(Index run, const std::vector<Index>& open, Judged& judged);

    /// True where the set is solved and no rule fails. Rules on surge, which balance again without each
    /// valve, are only asked where nothing else fails and where they may fail at all; `judged` may lack what
    /// they say.
    bool passes(const std::vector<Index>& open, Judged& judged);

  private:
    bool surge_may_fail(const Judged& judged) const;
    RuleContext context(Index run, const std::vector<Index>& open, bool surge);

    const JudgeBasis& basis_;
    bool record_steps_, keep_worst_;
    Balancer balancer_;
    RunResult without_;  // flows
};

/// True where the set is solved and none of its findings fails.
bool within_limits(const Judged& judged);

}  // namespace evenhead::solver
