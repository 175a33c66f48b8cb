// Text inside SVG and HTML: made harmless, and how wide it will be.
#pragma once

#include <string>
#include <string_view>

namespace evenhead::io {

/// `text` as the content of an element or of a quoted attribute, in XML and in HTML: nothing in it is markup,
/// and what could steer a screen (control characters, marks that turn the direction of writing) or is no
/// UTF-8 is "?".
std::string escaped(std::string_view text);

/// Width in em of one line in a sans-serif letter, by a wide one (DejaVu Sans, Verdana): others need less.
double text_width(std::string_view text, bool bold = false);

/// `text` cut to a width in em, "..." at its end where something is left out.
std::string cut_to_width(std::string_view text, double width);

/// A coordinate: at most two decimals, no trailing zeros, the same in every locale.
std::string px(double value);

}  // namespace evenhead::io
