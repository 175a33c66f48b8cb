// Units in and out: what a bare number of the case means, unit words, and numbers printed back in the case's
// units.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/quantity.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// The unit word that a bare number of this dimension means, e.g. "psi", "gpm", "ft", "in", "ft/s"; "" for
/// pure numbers.
std::string_view unit_word(model::Dimension dimension, model::UnitSystem units);

/// SI -> the unit system's bare number (share -> percent), and back. A pressure stays a pressure: no density
/// here.
double to_units(double si, model::Dimension dimension, model::UnitSystem units);
double from_units(double value, model::Dimension dimension, model::UnitSystem units);

/// SI -> the unit of this word ("bar", "m3/h"); the word must be one of the dimension's.
double to_unit(double si, std::string_view word);
/// The dimension that a unit word measures; empty where nobody knows the word.
std::optional<model::Dimension> dimension_of(std::string_view word);
/// Every unit word, for messages: those of the case format, "deg", and "per ft", "per m" for prices.
const std::vector<std::string_view>& unit_words();

/// What came of reading a quantity's text: a value, or what is wrong (a sentence that begins with the text in
/// quotes) and what would be right.
struct ParsedQuantity {
    model::Quantity quantity;  ///< SI
    std::string error, mend;   ///< error empty: fine
};

/// Reads "62", "62 psi", "62 +- 4 psi", "1.8 gpm +- 5 %", "10 gal in 146 s", "1-1/4 in", "?" ... for one
/// dimension. A bare number is in `units` (a share's in percent). "?" gives a quantity that is not known().
/// The spread is two standard deviations. mH2O and ftH2O are conventional water, 9806.65 Pa a metre. Never
/// throws; independent of the locale.
ParsedQuantity parse_quantity(std::string_view text, model::Dimension dimension, model::UnitSystem units);

/// The same for the text that long tables are full of, a plain decimal number such as "62" or "-0.5"; empty
/// where it is anything else, or out of reach.
std::optional<model::Quantity> parse_bare_number(std::string_view text, model::Dimension dimension,
                                                 model::UnitSystem units);

/// False for a size that nothing of a sprinkler system has, and whose powers leave the range of double: not
/// zero, and below 1e-30 or above 1e15 in SI. A flow ends sooner, where it is lost in the rounding of others
/// (below 1e-10 m3/s, a cubic inch in two days) or beyond any system's (above 1e6 m3/s).
bool within_reach(double si, model::Dimension dimension = model::Dimension::none);

/// Shortest text that reads back to the same double (JSON, CSV); locale independent. NaN and infinity:
/// "null".
std::string shortest(double value);
/// The same without a string of its own: a view of `room`.
std::string_view shortest(double value, std::array<char, 32>& room);

}  // namespace evenhead::io
