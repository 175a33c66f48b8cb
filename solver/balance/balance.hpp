// The balance of one run: flows and pressures of everything, closed to the thresholds or with the reason why
// not.
#pragma once

#include <optional>
#include <vector>

#include "solver/balance/closure.hpp"
#include "solver/balance/result.hpp"
#include "solver/balance/result_writer.hpp"
#include "solver/balance/state.hpp"
#include "solver/balance/trees/tree_solver.hpp"
#include "solver/network/network.hpp"

namespace evenhead::solver {

/// What solving a State took, or why there is no solution.
struct SolveReport {
    int solves = 0;           ///< linear solves
    std::vector<Step> steps;  ///< with record_steps
    std::optional<Failure> failure;
};

/// Balances flows and heights of the active elements into `state`, regulators' states included.
SolveReport solve_state(const Network& network, State& state, bool record_steps);

/// The failure of an iteration that did not end, or of an answer that does not close: where, how much (Pa),
/// what limit.
Failure not_converged(const char* text, const ElementRef& where, double mismatch, double limit);

/// What is found once for a network, and read by any number of balancers.
struct Prepared {
    Structure structure;    ///< changes with what joins what
    Parameters parameters;  ///< changes with the numbers of the laws
};
Prepared prepare(const Network& network);

/// Balances runs of one system, one after the other: what a run takes is what its mainline and open zones
/// take. One for each thread.
class Balancer {
  public:
    Balancer(const model::System& system, const Network& network, const Prepared& prepared);

    /// Balances one set of open valves into state(), which the next call overwrites. Where the closure is not
    /// solved, failure() says why. `steps` may be null.
    Closure solve(const std::vector<Index>& open_valves, std::vector<Step>* steps = nullptr);
    const State& state() const { return by_trees_ ? trees_.state() : general_; }
    const std::optional<Failure>& failure() const { return failure_; }

    /// The same as a result, which may hold another result of the same system: its memory is used again.
    /// `run` is only noted.
    void balance(Index run, const std::vector<Index>& open_valves, RunResult& result,
                 bool record_steps = false);

    /// Of the same the flows of pipes alone, with the closure: see ResultWriter::write_flows.
    void balance_flows(Index run, const std::vector<Index>& open_valves, RunResult& result);

  private:
    const ResultWriter& writer();

    const model::System& system_;
    const Network& net_;
    std::optional<ResultWriter> writer_;  // made when first wanted
    TreeSolver trees_;
    ClosureCheck check_;
    State general_;
    bool by_trees_ = false;
    std::optional<Failure> failure_;
};

/// The same, prepared for one balance only.
RunResult balance_run(const model::System& system, const Network& network, Index run,
                      const std::vector<Index>& open_valves, bool record_steps = false);

/// Every valve and every head shut: static heights, pumps at no flow. One-way and closed elements count as in
/// a run.
RunResult balance_shut(const model::System& system, const Network& network);

}  // namespace evenhead::solver
