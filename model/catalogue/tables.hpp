// The catalogue's tables as text, compiled in from the .txt files beside this one: a program that is moved
// keeps them.
#pragma once

#include <string_view>

namespace evenhead::model::tables {

extern const std::string_view pipes;
extern const std::string_view temperature_factors;
extern const std::string_view generic_losses;
extern const std::string_view faults;
extern const std::string_view takeoff;
extern const std::string_view prices;
extern const std::string_view spreads;
extern const std::string_view rule_sets;
extern const std::string_view crew;

}  // namespace evenhead::model::tables
