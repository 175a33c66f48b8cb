// What people write for a nominal size, read as a number to compare by.
#pragma once

#include <optional>
#include <string_view>

namespace evenhead::model::tables {

/// "1-1/4", "1 1/4", "1.25", "3/4", each also with "in" or '"' behind it; empty where it is none of these.
std::optional<double> nominal_inches(std::string_view text);

/// "32", "32 mm", "DN 32", "d32"; empty where it is none of these.
std::optional<double> nominal_millimetres(std::string_view text);

/// The inch size that a nominal diameter in millimetres stands for (DN 25 is 1 in); empty where it stands for
/// none.
std::optional<double> inches_of_nominal_diameter(std::string_view text);

}  // namespace evenhead::model::tables
