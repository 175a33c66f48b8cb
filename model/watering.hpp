// How much water the zones of a system want, and the hours in which they may get it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/system.hpp"

namespace evenhead::model {

/// Days of the week, a bit each: Monday is the lowest.
using Days = unsigned;
inline constexpr Days every_day = 0b1111111;

/// What a zone wants, and how fast it may get it.
struct Watering {
    Index valve = none;
    double need = std::numeric_limits<double>::quiet_NaN();  ///< m of water a week
    OptionalQuantity eto, coefficient;  ///< m a week and a factor, where the need is given so
    OptionalQuantity rate, du_lq;       ///< m/s and a share, as measured
    OptionalQuantity intake, storage;   ///< m/s that the soil takes, m that may stand on it
    Days days = 0;                      ///< 0: none are named
    int times = 0;                      ///< days a week, where they are only counted
    std::string group;  ///< zones that water on the same days, on which no other group does
    Place place;
};

/// The hours in which zones may water.
struct Window {
    int from = 0;           ///< minutes after midnight
    int length = 0;         ///< minutes, at most a day; it may go past midnight
    Days days = every_day;  ///< on which it may open
    Place place;
};

struct WateringPlan {
    std::vector<Watering> rows;  ///< in the order of the file, each of another valve
    std::optional<Window> window;
};

}  // namespace evenhead::model
