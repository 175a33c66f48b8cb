// A night minute by minute: what is open next is the set that is worth most just then.
#pragma once

#include <random>

#include "solver/timetable/timeline_parts.hpp"

namespace evenhead::solver {

/// The shortest of many such nights, as pieces in the order of their starts. What a zone is worth is its
/// price and, weighed by a drawn number, how much of the night it still needs.
std::vector<Request> dispatched_night(const NightZones& night, const FractionalNight& fractional, int bound,
                                      int tries, std::mt19937& random);

}  // namespace evenhead::solver
