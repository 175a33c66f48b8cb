// One row of a case: keys and cells, each with its place.
#pragma once

#include <string_view>
#include <utility>
#include <vector>

#include "model/system.hpp"

namespace evenhead::io {

/// One value as it stands in a file. From CSV every cell is `text` (unquoted, without blanks at its ends) and
/// `csv` is true, but for two shapes: a chart column over several lines is a `list` of text cells, and
/// columns with a dotted key (own_valve.cv) are gathered in one `table` cell (own_valve) whose fields are
/// text or lists of text. Numbers, lists of ids and coordinates inside a CSV cell are left as text.
struct Cell {
    enum class Kind { text, integer, number, boolean, date, list, table };
    Kind kind = Kind::text;
    bool csv = false;
    bool boolean = false;
    model::Place place;       ///< of the value (a list or table: of its opening bracket)
    int key_column = 0;       ///< of its key, which TOML has on the same line; 0: not known (CSV)
    std::string_view text;    ///< text: its content; numbers, booleans and dates: as written
    double number = 0;        ///< integer, number (may be infinite or NaN where the file says so)
    std::vector<Cell> items;  ///< list
    std::vector<std::pair<std::string_view, Cell>> fields;  ///< table, in the order of the file

    // Declared here and defined below, where Cell is complete: clang 14 needs that for `fields`.
    Cell();
    ~Cell();
    Cell(const Cell&);
    Cell(Cell&&) noexcept;
    Cell& operator=(const Cell&);
    Cell& operator=(Cell&&) noexcept;

    /// Where its key stands; where that is not known, its own place.
    model::Place key_place() const {
        return {place.file, place.line, key_column > 0 ? key_column : place.column};
    }
};

inline Cell::Cell() = default;
inline Cell::~Cell() = default;
inline Cell::Cell(const Cell&) = default;
inline Cell::Cell(Cell&&) noexcept = default;
inline Cell& Cell::operator=(const Cell&) = default;
inline Cell& Cell::operator=(Cell&&) noexcept = default;

/// One row of a table: keys and cells in the order of the file; empty CSV cells are left out.
/// CSV lines that continue a chart (same id or none, other cells empty or equal) are merged: such a cell
/// becomes a list.
struct Row {
    std::vector<std::pair<std::string_view, Cell>> cells;
    model::Place place;       ///< TOML: where the row opens; CSV: its first line, field 1
    bool keys_known = false;  ///< every key is one of the table's: nobody needs to look again
    const Cell* find(std::string_view key) const;
};

}  // namespace evenhead::io
