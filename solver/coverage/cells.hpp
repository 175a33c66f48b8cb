// Water on the cells of a grid, and what it amounts to.
#pragma once

#include <vector>

#include "solver/coverage/coverage.hpp"
#include "solver/coverage/ground.hpp"
#include "solver/coverage/throw.hpp"
#include "solver/coverage/uniformity.hpp"

namespace evenhead::solver {

/// Adds to each cell the mean rate (m/s) at which one head waters its ground: the edge of the arc cuts cells
/// as the edge of the ground does.
void add_throw(const CellGrid& grid, const Throw& thrown, std::vector<double>& depths);

/// Over the cells, each by its ground.
Uniformity uniformity_of(const CellGrid& grid, const std::vector<double>& depths);

/// The share of the ground where the depth is below a limit.
double share_below(const CellGrid& grid, const std::vector<double>& depths, double limit);

/// The cells with the least water, up to three, none closer to another than `apart` (m).
std::vector<DryPlace> driest_places(const CellGrid& grid, const std::vector<double>& depths, double apart);

}  // namespace evenhead::solver
