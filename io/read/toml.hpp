// A TOML text as cells, with all the slips in it that can be found.
#pragma once

#include <string_view>
#include <vector>

#include "io/read/rows.hpp"
#include "io/read/slips.hpp"

namespace evenhead::io {

struct TomlReading {
    Cell root;                      ///< a table
    std::vector<Heading> headings;  ///< in the order of the file
};

/// Reads a TOML 1.0 text that lives as long as the document. What is wrong goes to `document.errors`; where
/// something could not be read at all, `document.complete` becomes false and the root lacks it (or
/// everything).
TomlReading read_toml(std::string_view text, int file, Document& document);

}  // namespace evenhead::io
