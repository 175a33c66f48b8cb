// The mismatch computed again, from flows, heights and laws only.
#pragma once

#include <vector>

#include "solver/balance/state.hpp"

namespace evenhead::solver {

inline constexpr double mismatch_limit =
    6894.757293168361e-6;  ///< Pa: 1e-6 psi, most that a solved run may miss

/// One for each thread: it keeps its memory from state to state.
class ClosureCheck {
  public:
    explicit ClosureCheck(const Network& network);

    /// Element by element, and node by node.
    Closure check(const State& state);
    /// Of the last check: how far heights alone lie off the power laws, m, at most. The closure lets a law
    /// pass where a small change of flow would mend it.
    double off_in_height() const { return off_in_height_; }

  private:
    void add_flow(int node, double q);
    bool check_nodes(Closure& closure);

    const Network& net_;
    double off_in_height_ = 0;
    struct Passing {
        double imbalance = 0, largest = 0;  // m3/s
    };
    std::vector<Passing> passing_;  // by node; all 0 between checks
    std::vector<int> flowing_;      // nodes
};

/// The same, once.
Closure check_closure(const Network& network, const State& state);

}  // namespace evenhead::solver
