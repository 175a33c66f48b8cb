// Words of a file quoted in a message: short, on one line, never cut inside a character.
#pragma once

#include <string>
#include <string_view>

namespace evenhead::io {

/// The text itself where it is at most `longest` bytes, else its beginning and "..."; control characters
/// become blanks.
std::string excerpt(std::string_view text, std::size_t longest = 60);

/// The same between double quotes.
std::string quoted(std::string_view text);

/// Without the blanks and tabs at both ends.
std::string_view trimmed(std::string_view text);

}  // namespace evenhead::io
