// Slips that phones and spreadsheets make in a TOML file, found before the TOML library stops at the first of
// them.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "io/read/mend.hpp"
#include "io/read/source.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// A line [name] or [[name]]; `name` is its first word: limits of [limits.x].
struct Heading {
    std::string_view name;
    int line = 0;
    bool rows = false;  ///< [[name]]
};

/// What a look at the brackets, quotes, commas and keys of a TOML text tells.
struct Slips {
    Slips(std::string_view text, int position) : mending(text), lines(text), file(position) {}

    std::vector<model::Issue> issues;
    std::vector<Heading> headings;
    Mending mending;       ///< makes TOML of it again
    bool readable = true;  ///< false: mending is of no use, the library need not be asked
    bool complete = true;  ///< false: mending leaves something out
    Lines lines;
    int file;

    model::Place place(std::size_t offset) const;
    /// What a message calls the row at this place: its id where that stands before on the same line, else the
    /// line.
    std::string row(model::Place place) const;
    /// True if some slip of this line has been told.
    bool told(int line) const;
    /// Leaves out a whole line that opens and closes what it opens; false (and nothing done) for any other
    /// line.
    /// A heading takes the keys under it along: without it they would pass for keys of the table before.
    bool blank_line(int line);

    /// How many brackets are open where a line begins, by line - 1; `inside_text` in a text over several
    /// lines.
    std::vector<std::uint16_t> depth;
    static constexpr std::uint16_t inside_text = 0xFFFF;

  private:
    /// From a heading up to the next, or to a table of rows.
    void blank_section(int line);
};

/// Never throws and never stops before the end, but for a nesting that no case needs (then it is not
/// readable).
Slips find_slips(std::string_view text, int file);

}  // namespace evenhead::io
