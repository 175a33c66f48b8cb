// The least cost of a tree, proven: branch and bound over boxes of choices.
#pragma once

#include "solver/sizing/search.hpp"
#include "solver/sizing/tree_zone.hpp"

namespace evenhead::solver {

struct TreeSearchResult {
    Found best;        ///< nothing where the design known before is the cheapest, or nothing keeps the limits
    double bound = 0;  ///< no design costs less
    bool proven = false;  ///< the search went to its end
    long boxes = 0, balances = 0;
};

struct TreeSearchOptions {
    double known = infinity;  ///< the cost of a design that passes
    Design known_design;      ///< that design, or any
    int threads = 1;
    long most_boxes = 20000;
    std::function<bool(double best, double bound)> keep_going;  ///< may be empty
};

/// `zone` is the tree of one of the problem's pairs and holds every open pipe that may flow. The same answer
/// on any number of threads.
TreeSearchResult search_tree(const TrialBasis& basis, const TreeZone& zone, const TreeSearchOptions& options);

}  // namespace evenhead::solver
