// Regulators with given states: solving the network with them, and whether each keeps the condition of its
// state.
#pragma once

#include <string>
#include <vector>

#include "solver/balance/link_solver.hpp"
#include "solver/balance/parts.hpp"

namespace evenhead::solver {

/// Open: its loss law. Holding: its outlet fixed at its set height, its inlet drawing what the outlet feeds.
/// Shut: nothing passes.
enum class RegulatorState { open, holding, shut };

using States = std::vector<RegulatorState>;  ///< as in Parts::regulators

struct StateChange {
    std::size_t regulator;
    RegulatorState to;
};

class RegulatorStates {
  public:
    RegulatorStates(LinkSolver& solver, const Parts& parts);

    States all_holding() const { return States(parts_.regulators.size(), RegulatorState::holding); }
    const std::vector<char>& shared() const { return shared_; }  ///< by regulator

    /// Solves the network with these states; false where the iteration did not end. `warm`: starts from the
    /// solver's state.
    bool solve(const States& states, Precision precision, bool warm);

    /// Regulators that break the condition of their state in the solver's state, with the state to take
    /// instead.
    std::vector<StateChange> broken(const States& states, Precision precision) const;

    /// Whether two balances differ in a flow that a law can tell: a ring of still water may carry a trickle
    /// that nothing determines.
    bool differ(const State& a, const State& b) const;

    /// Notes a failure that names the shared regulators.
    void report(const char* kind, const char* text);

  private:
    RegulatorState condition(std::size_t regulator, RegulatorState state, const State& spread,
                             Precision precision) const;

    LinkSolver& solver_;
    const Network& network_;
    const Parts& parts_;
    std::vector<char> shared_;
    std::vector<double> nominal_;  // by part: nominal flow of its heads and of those beyond, m3/s
};

}  // namespace evenhead::solver
