// The relaxed problem of a tree, solved exactly: a lower bound of the cost of every design in a box of
// choices, and the design that has it. The derivation stands at the head of tree_labels.cpp.
#pragma once

#include <optional>
#include <vector>

#include "solver/sizing/tree_zone.hpp"

namespace evenhead::solver {

/// What is asked of a box: by node of the tree.
struct TreeBox {
    std::vector<int> low, high;       ///< by open pipe of the problem: smallest and largest choice
    std::vector<double> least, most;  ///< by node, m: no design of the box has it lower, or higher
    std::vector<double> wanted;       ///< by node, m: lowest height at which its heads have what they want

    bool allows(const TreeNode& node, const TreeOption& option) const {
        return node.open < 0 || (option.choice >= low[static_cast<std::size_t>(node.open)] &&
                                 option.choice <= high[static_cast<std::size_t>(node.open)]);
    }
};

struct TreeBound {
    double cost = infinity;       ///< no design of the box that keeps its limits costs less
    bool exact_labels = true;     ///< no labels were thrown together
    std::vector<Design> designs;  ///< relaxed optima in the order of cost (choices of the tree's pipes only)
    std::size_t labels = 0;       ///< how many were made
};

/// `most`: costs of designs that are no use (one of that cost is known). Designs begin as `other`, which has
/// the choices of pipes outside the tree.
TreeBound bound_tree(const TrialBasis& basis, const TreeZone& zone, const TreeBox& box, double most,
                     const Design& other);

}  // namespace evenhead::solver
