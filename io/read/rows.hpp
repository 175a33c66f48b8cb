// A case as rows, before anybody asks what they mean: TOML tables and the CSV files beside them look the same from here on.
#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "model/system.hpp"

namespace evenhead::io {

/// One value as it stands in a file. From CSV every cell is `text` (already unquoted) and `csv` is true.
struct Cell {
    enum class Kind { text, integer, number, boolean, date, list, table };
    Kind kind = Kind::text;
    bool csv = false;
    std::string_view text;                       ///< text: its content; numbers and dates: as written
    double number = 0;                           ///< integer, number
    bool boolean = false;
    std::vector<Cell> items;                     ///< list
    std::vector<std::pair<std::string_view, Cell>> fields;   ///< table, in the order of the file
    model::Place place;
};

/// One row of a table: keys and cells in the order of the file; empty CSV cells are left out.
/// CSV lines that continue a chart (same id, other cells empty or equal) are merged: such a cell becomes a list.
struct Row {
    std::vector<std::pair<std::string_view, Cell>> cells;
    model::Place place;
    const Cell* find(std::string_view key) const;
};

struct Table {
    std::string_view name;
    std::vector<Row> rows;
    model::Place place;
};

/// All of a case file and the CSV files it names. Owns the text that the views point into.
struct Document {
    std::vector<std::string> files;              ///< position = Place::file
    std::vector<std::pair<std::string_view, Cell>> top;   ///< every top-level key that is not a table of rows
    std::vector<Table> tables;
    std::vector<model::Issue> errors;            ///< syntax: TOML, CSV, encoding, paths; all that can be found
    std::deque<std::string> text;                ///< file contents and whatever else views point into
};

/// The names of the tables that hold rows (supplies devices valves ... prices watering).
bool is_row_table(std::string_view name);

/// Reads the case file and, for each table written as a file name, the CSV beside it. Never throws for bad input:
/// everything wrong is in `errors`. A CSV outside the case's folder (also through a link) is refused.
Document read_document(const std::string& path);

/// The same for a readings file (a TOML document with `readings` and `seen` only, or a CSV of readings).
Document read_readings_document(const std::string& path);

}  // namespace evenhead::io
