// Days of the week and times of day as people write them.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "model/watering.hpp"

namespace evenhead::io {

inline constexpr std::array<std::string_view, 7> weekday_words = {"mon", "tue", "wed", "thu",
                                                                  "fri", "sat", "sun"};

/// The day (0: Monday) of "mon" or "Monday", whatever its case; empty where it is none.
std::optional<int> weekday_of(std::string_view word);

/// Minutes after midnight of "22:00" (to "24:00", seconds only 00); empty where it is none.
std::optional<int> time_of_day(std::string_view text);

/// "22:00"; minutes beyond a day begin anew.
std::string clock_words(int minutes_after_midnight);

/// "mon wed fri"; every day of the week: "every day".
std::string days_words(model::Days days);

/// "7 h 05 min", "45 min".
std::string duration_words(int minutes);

}  // namespace evenhead::io
