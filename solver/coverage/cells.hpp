// Water on the cells of a grid, and what it amounts to.
//
// A whole cell of side s counts by four places, s / sqrt(12) to either side of its middle (the rule of Gauss
// with two points each way): their mean is that of any cubic, and they stray from it as the cell does, so
// that uniformity hardly depends on s. What is cut off at an edge counts by the middles of its quarters.
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

/// The places that stand for the ground.
struct GroundPlaces {
    std::vector<Place> places;
    std::vector<double> areas;  ///< m2, that each stands for
    std::vector<int> first;     ///< by cell, and one more: its first place
};
GroundPlaces places_of(CellGrid grid);

/// Adds to each place the rate (m/s) at which one head waters it.
void add_throw(const CellGrid& grid, const GroundPlaces& ground, const Throw& thrown,
               std::vector<double>& depths);

Uniformity uniformity_of(const GroundPlaces& ground, const std::vector<double>& depths);

/// The share of the ground where the depth is below a limit.
double share_below(const GroundPlaces& ground, const std::vector<double>& depths, double limit);

/// The places with the least water, up to three, none closer to another than `apart` (m); those that stand
/// for less than `least` (m2) are none.
std::vector<DryPlace> driest_places(const GroundPlaces& ground, const std::vector<double>& depths,
                                    double apart, double least);

}  // namespace evenhead::solver
