// The balance of one run: flows and pressures of everything, closed to the thresholds or with the reason why
// not.
#pragma once

#include <vector>

#include "solver/balance/result.hpp"
#include "solver/balance/state.hpp"
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

/// Computes the mismatch again from the laws, element by element and point by point.
Closure check_closure(const Network& network, const State& state);

/// Balances one set of open valves. `run` is only noted in the result.
RunResult balance_run(const model::System& system, const Network& network, Index run,
                      const std::vector<Index>& open_valves, bool record_steps = false);

/// Every valve and every head shut: static heights, pumps at no flow. One-way and closed elements count as in
/// a run.
RunResult balance_shut(const model::System& system, const Network& network);

}  // namespace evenhead::solver
