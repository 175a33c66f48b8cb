// What the drawings of the report share: how wide words are, and which numbers an axis bears.
#pragma once

#include <string>
#include <string_view>

namespace evenhead::io {

inline constexpr double text_size = 12;                   ///< px
inline constexpr double letter_width = 0.62 * text_size;  ///< no letter of a usual sans is wider, on average

/// px that the words take at most.
double width_of(std::string_view text);
/// The text, or its beginning and an ellipsis where it is longer than so many letters.
std::string shortened(std::string text, int most);
/// A step of 1, 2 or 5 times a power of ten, of which `span` has about `wanted`.
double round_step(double span, double wanted);

}  // namespace evenhead::io
