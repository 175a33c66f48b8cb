// Water on the cells of a grid, and what it amounts to. Depths are by piece.
#pragma once

#include <vector>

#include "solver/coverage/coverage.hpp"
#include "solver/coverage/ground.hpp"
#include "solver/coverage/throw.hpp"
#include "solver/coverage/uniformity.hpp"

namespace evenhead::solver {

/// Cuts cells where the water of a head ends all at once: along the edges of its arc, and along its throw
/// where its shape does not fall to nothing (by the tangent: a cell is small beside a throw). Then no piece
/// is wet in part.
void cut_at_edges(CellGrid& grid, const Throw& thrown);

/// Adds to each piece the mean rate (m/s) at which one head waters it.
void add_throw(const CellGrid& grid, const Throw& thrown, std::vector<double>& depths);

/// Over the pieces, each by its ground.
Uniformity uniformity_of(const CellGrid& grid, const std::vector<double>& depths);

/// The share of the ground where the depth is below a limit.
double share_below(const CellGrid& grid, const std::vector<double>& depths, double limit);

/// The pieces with the least water, up to three, none closer to another than `apart` (m).
std::vector<DryPlace> driest_places(const CellGrid& grid, const std::vector<double>& depths, double apart);

}  // namespace evenhead::solver
