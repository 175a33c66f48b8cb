// A case as rows, before anybody asks what they mean: TOML tables and the CSV files beside them look the same
// from here on.
#pragma once

#include <deque>
#include <string>
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
    model::Place place;  ///< TOML: where the row opens; CSV: its first line, field 1
    const Cell* find(std::string_view key) const;
};

/// `rows` is empty for `pipes = []` and for a CSV with a header row only.
struct Table {
    std::string_view name;
    std::vector<Row> rows;
    model::Place place;  ///< of its value or first heading in the case; CSV of readings: its first line
};

/// All of a case file and the CSV files it names. Owns the text that the views point into: it moves, but
/// cannot be copied.
struct Document {
    std::vector<std::string> files;  ///< position = Place::file; the case first, CSV files as named in it
    std::vector<std::pair<std::string_view, Cell>> top;  ///< every top-level key that is not a table of rows
    std::vector<Table> tables;                           ///< each name at most once, in the order of the file
    std::vector<model::Issue> errors;  ///< syntax: TOML, CSV, encoding, paths; all that can be found
    /// False where something could not be read and rows or keys are missing here: then only what stands in a
    /// row can be judged, not what is absent (no supply, a point or nozzle nobody defined). With errors but
    /// `complete`, every slip was mended for the rest of the reading, so that all further checks make sense
    /// and no error is told twice.
    bool complete = true;
    std::vector<int> header_lines;  ///< CSV files: the line that holds the keys; by file
    std::deque<std::string> text;   ///< file contents and whatever else views point into

    Document() = default;
    Document(Document&&) = default;
    Document& operator=(Document&&) = default;

    const Table* find_table(std::string_view name) const;  ///< null where the case has none
    const Cell* find_top(std::string_view key) const;      ///< null where the case has none
};

/// The names of the tables that hold rows (supplies devices valves ... prices watering).
bool is_row_table(std::string_view name);
const std::vector<std::string_view>& row_table_names();

/// Reads the case file and, for each table written as a file name (or a list of file names), the CSV beside
/// it. Never throws for bad input: everything wrong is in `errors`. A CSV outside the case's folder (also
/// through a link) is refused. Unknown keys and top-level names are not judged here, but for tables of rows:
/// `points = 5` is refused.
Document read_document(const std::string& path);

/// The same for a readings file (a TOML document with `readings` and `seen` only, or a CSV of readings: name
/// ending in .csv).
Document read_readings_document(const std::string& path);

}  // namespace evenhead::io
