// Components: sets of points that chains of free ends join. They do not see each other's heights.
#pragma once

#include <utility>
#include <vector>

#include "solver/balance/newton/reduction.hpp"

namespace evenhead::solver {

struct Components {
    std::vector<int> of_point;             ///< by branch point
    std::vector<std::vector<int>> chains;  ///< by component: those with an end at one of its points
    std::vector<std::pair<int, int>>
        pairs;  ///< of different branch points, by chain between two, in their order
};

/// Chains whose height is given, from a fixed height or a point to the same, are in none.
Components find_components(const Reduction& reduction);

}  // namespace evenhead::solver
