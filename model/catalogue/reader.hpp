// Reads a table of the catalogue: lines of a key and its words, '#' starts a comment. A fault is a fault of
// the program, not of a case: it throws std::logic_error with the line, and the catalogue's test reads every
// table.
#pragma once

#include <functional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace evenhead::model::tables {

/// One line of a table that says something.
struct Line {
    int number = 0;                       ///< from 1
    std::string_view key;
    std::string_view rest;                ///< all that follows the key
    std::vector<std::string_view> words;  ///< the same, by blanks
};

/// What is wrong with a line of a table. what(): "catalogue, line 12: ...".
struct LineFault : std::logic_error {
    LineFault(int number, const std::string& why)
        : std::logic_error("catalogue, line " + std::to_string(number) + ": " + why), line(number), words(why) {}
    int line;
    std::string words;
};

/// Calls `take` for each line in turn; what it throws becomes a LineFault.
void read(std::string_view text, const std::function<void(const Line&)>& take);

/// A number, whatever the locale; throws std::invalid_argument.
double number(std::string_view word);

/// SI of a number with one of the units of the tables: in mm m psi bar MPa gpm degF degC.
double in_si(double value, std::string_view unit);

}  // namespace evenhead::model::tables
