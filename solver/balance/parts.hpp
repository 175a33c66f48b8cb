// The parts that regulating valves divide the network into.
#pragma once

#include <vector>

#include "solver/balance/state.hpp"

namespace evenhead::solver {

/// Take the regulators away and the network falls into parts. Positions: elements of the network, nodes,
/// parts.
struct Parts {
    std::vector<int> regulators;               ///< active regulating elements
    std::vector<int> of_node;                  ///< part of each node
    std::vector<std::vector<int>> elements;    ///< by part: active elements that do not regulate
    std::vector<std::vector<int>> leading_on;  ///< by part: regulators whose inlet it holds
    /// By part: one regulator is the only way in, and the same is true of every part beyond.
    std::vector<char> owned;
    std::vector<int> shared;  ///< regulators that lead into parts that are not owned

    int above(const Network& network, int regulator) const {
        return of_node[static_cast<std::size_t>(network.elements[static_cast<std::size_t>(regulator)].tail)];
    }
    int below(const Network& network, int regulator) const {
        return of_node[static_cast<std::size_t>(network.elements[static_cast<std::size_t>(regulator)].head)];
    }
};

/// Near-linear in nodes and elements. Without regulators: everything is empty.
Parts divide(const Network& network, const State& state);

}  // namespace evenhead::solver
