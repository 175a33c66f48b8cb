// Lists that the relaxed problem of a tree keeps short: labels of subtrees, and costs against heights. What
// they mean stands at the head of tree_labels.cpp.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

namespace evenhead::solver {

inline constexpr std::size_t K = 6;  ///< heights of a node's grid

struct Label {
    double cost = 0, bore = 0, p = 0;
    std::array<double, K> q{};
    int choice = 0;          ///< of the edge labels: of the pipe to the parent
    int one = -1, two = -1;  ///< positions of the labels that it is made of
};
using Labels = std::vector<Label>;

/// Discards what another makes needless, and sorts by cost. Of too many throws neighbours together, into one
/// that is no worse than either: then false.
bool thin_labels(Labels& labels);

/// Cost against height, none needless: costs rise.
struct CostStep {
    double cost, height;
};
using CostSteps = std::vector<CostStep>;

/// Leaves what is cheaper or better than the others: lower, or higher. Of too many neighbours become one that
/// is as cheap as the one and as good as the other.
void prune(CostSteps& steps, bool lower_is_better);

/// The least cost of pruned steps (lower is better) at or below a height; infinite where there is none.
double cheapest(const CostSteps& steps, double height);

}  // namespace evenhead::solver
