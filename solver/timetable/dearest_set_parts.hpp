// What prices can sum to in any set within limits, also of sets that nobody tried.
#pragma once

#include <functional>
#include <vector>

#include "solver/timetable/rooms_parts.hpp"

namespace evenhead::solver {

enum class Verdict : char {
    allowed,
    never,   ///< blocked, and so is every set that holds it
    unsure,  ///< blocked, or nobody knows; a set that holds it may be allowed
};

struct Dearest {
    double most = 1;               ///< no set within limits sums to more
    std::vector<ValveSet> better;  ///< allowed sets that sum to more than was hoped: new to the prices
};

/// `ask` judges sets of positions. `look`: ends where enough of the better sets are found, and proves little.
Dearest find_dearest(const Rooms& rooms, const std::vector<double>& price,
                     const std::function<Verdict(const ValveSet&)>& ask, bool look);

}  // namespace evenhead::solver
