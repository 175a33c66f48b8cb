// Catch cans: what was measured on the ground, beside what is computed at the same places.
#pragma once

#include <vector>

#include "solver/coverage/coverage.hpp"
#include "solver/coverage/uniformity.hpp"

namespace evenhead::solver {

/// One can, and what stood in it.
struct CatchCan {
    Index valve = model::none;  ///< the zone that ran
    double x = 0, y = 0;        ///< m, east and north
    double rate = 0;            ///< m/s: depth over the time that the zone ran
    model::Place place;         ///< in the file that it comes from
};

/// Fewer cans of one zone say nothing of its lowest quarter.
inline constexpr std::size_t fewest_cans = 4;

struct CanCompared {
    CatchCan can;
    double computed = 0;  ///< m/s at its place, from the heads that are counted
};

/// The cans of one zone, each for the same share of the ground.
struct ZoneCans {
    Index valve = model::none;
    std::vector<CanCompared> cans;  ///< in the order of the file
    Uniformity measured{}, computed{};
};

/// By zone, in the order of `zones`; zones without cans are left out.
std::vector<ZoneCans> compare_cans(const std::vector<ZoneCoverage>& zones, const std::vector<CatchCan>& cans);

}  // namespace evenhead::solver
