// All runs of a system, one after another in file order, solved in parallel: the same bytes on any number of
// threads.
#pragma once

#include <functional>
#include <vector>

#include "model/graph.hpp"
#include "solver/balance/result.hpp"
#include "solver/rules/rules.hpp"

namespace evenhead::solver {

struct CheckOptions {
    int threads = 0;               ///< 0: as many as the machine has
    bool record_steps = false;     ///< keep RunResult::steps
    Index only_run = model::none;  ///< solve this run only
    bool keep_worst = false;       ///< RunFindings::worst and CheckSummary::worst
};

/// What `check` learns of a whole case; the single runs went to the sink.
struct CheckSummary {
    std::vector<Finding> findings;        ///< that no run owns: unfed, two-valves, static rating
    std::vector<Finding> warnings;        ///< likewise: data-range that does not fail
    std::vector<NotChecked> not_checked;  ///< likewise, and what no run can judge
    std::vector<RuleId> rules_off;
    Index critical_run = model::none;  ///< run and head with the least margin of all
    Index critical_head = model::none;
    double critical_margin = 0;  ///< Pa; NaN where nothing is wanted
    bool within_limits = true;   ///< solved and no finding fails
    bool solved = true;          ///< every run
    std::vector<Worst> worst;    ///< of what no run owns, by RuleId; empty unless keep_worst
};

/// Solves and judges every run; `sink` is called once a run in file order, from this thread, and may keep
/// what it wants.
using RunSink = std::function<void(const RunResult&, const RunFindings&)>;
CheckSummary check_runs(const model::System& system, const model::Layout& layout, const CheckOptions& options,
                        const RunSink& sink);

/// Solves one run (no rules).
RunResult solve_run(const model::System& system, const model::Layout& layout, Index run,
                    bool record_steps = false);

/// The number of threads to use where an option says 0.
int default_threads();

}  // namespace evenhead::solver
