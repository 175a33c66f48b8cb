// Where values stand in the bytes of a TOML or CSV file, and how a new one is written there. The file is one
// that the reader took without complaint.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "io/read/source.hpp"

namespace evenhead::io {

/// Bytes from `begin` up to `end`, to be replaced.
struct Span {
    std::size_t begin = 0, end = 0;
};

/// The byte at a line and column (characters, from 1) of a TOML text.
std::size_t toml_offset(std::string_view text, const Lines& lines, int line, int column);

/// Behind the value that begins at this byte: a text, a list, a table, or a bare word.
std::size_t toml_value_end(std::string_view text, std::size_t begin);

/// A text between quotes, as TOML writes it.
std::string toml_text(std::string_view value);

/// The fields of the line of a CSV that begins at this byte, each without the blanks around it. A field
/// between quotes may carry the line over several.
std::vector<Span> csv_fields(std::string_view text, std::size_t begin);

/// A value as CSV writes it: between quotes where it holds a comma, a quote or a line's end, or where
/// `quotes`.
std::string csv_text(std::string_view value, bool quotes);

/// "\r\n" where the text has it behind its first line, else "\n".
std::string_view line_end(std::string_view text);

}  // namespace evenhead::io
