// A value that stands in a TOML file without quotes: a number, a date, true or false; or a slip.
#pragma once

#include <string>
#include <string_view>

namespace evenhead::io {

struct BareWord {
    bool valid = true;
    std::string text, mend;  ///< what is wrong and what would be right; empty when valid
    std::string mended;      ///< the TOML value that was probably meant
};

/// Judges one value without blanks at its ends, such as 62, true, 2026-03-04 or (not valid) 3/4, yes, .5,
/// lawn.
BareWord judge_bare_word(std::string_view word);

/// The typographic quotes that phones and word processors put in for `straight` (" or '): the length in bytes
/// of the one at the front of `text`, 0 where there is none.
std::size_t curly_quote(std::string_view text, char straight);
/// The same for either kind.
std::size_t curly_quote(std::string_view text);

}  // namespace evenhead::io
