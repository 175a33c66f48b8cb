// Edits of a text by position, and where things end in TOML and CSV text.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "io/read/source.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// Replaces stretches that do not overlap.
class TextEdits {
  public:
    void replace(std::size_t begin, std::size_t end, std::string with) {
        edits_.push_back({begin, end, std::move(with)});
    }
    bool empty() const { return edits_.empty(); }
    /// The text with all of them made.
    std::string apply(std::string_view text) const;
    /// The same for the stretch begin..end of the text: only edits inside it.
    std::string apply(std::string_view text, std::size_t begin, std::size_t end) const;

  private:
    struct Edit {
        std::size_t begin, end;
        std::string with;
    };
    std::vector<Edit> edits_;
};

/// The byte at a place of TOML text: columns count characters.
std::size_t offset_of(std::string_view text, const Lines& lines, int line, int column);

/// Where a TOML value that begins at `begin` ends: a string, a list, an inline table, or a bare word.
std::size_t toml_value_end(std::string_view text, std::size_t begin);

/// A text as a TOML string.
std::string toml_string(std::string_view text);
/// A text as a CSV cell.
std::string quoted_field(std::string_view text);

/// The stretches of the fields of the CSV record that begins at `begin`, quotes included; `end` of the last
/// is that of the record.
struct CsvField {
    std::size_t begin, end;
};
std::vector<CsvField> csv_fields(std::string_view text, std::size_t begin);

}  // namespace evenhead::io
