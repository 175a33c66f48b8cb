// What zones draw at the least in any set of valves within limits, and what the mainline has for them.
#pragma once

#include <vector>

#include "solver/network/network.hpp"
#include "solver/rules/rules.hpp"
#include "solver/timetable/timetable_parts.hpp"

namespace evenhead::solver {

struct ZoneRoom {
    double least = 0;            ///< m3/s that it draws
    double capacity = infinity;  ///< m3/s of all zones while it is open
    std::vector<int> behind;     ///< of `places`: its water passes them
};

struct Rooms {
    std::vector<ZoneRoom> zones;  ///< by position in the night
    std::vector<double> places;   ///< m3/s that may pass each
    std::vector<char> trunk;      ///< by element: follows a supply before anything branches
};

Rooms find_rooms(const model::System& system, const model::Layout& layout, const Network& network,
                 const RuleBasis& rules, const NightZones& night);

}  // namespace evenhead::solver
