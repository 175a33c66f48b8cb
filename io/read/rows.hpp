// A case as rows, before anybody asks what they mean: TOML tables and the CSV files beside them look the same
// from here on.
#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "io/read/long_csv.hpp"
#include "io/read/row.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// `rows` is empty for `pipes = []` and for a CSV with a header row only.
struct Table {
    std::string_view name;
    std::vector<Row> rows;
    model::Place place;  ///< of its value or first heading in the case; CSV of readings: its first line

    /// A CSV file whose rows are not in `rows`.
    struct File {
        std::size_t before;  ///< its rows come before this one of `rows`
        LongCsv csv;
    };
    std::vector<File> files;

    std::size_t count() const;
    /// Calls `visit(row)` for every row in the order of the case, until it returns false.
    template <class Visit>
    void visit(const Visit& visit) const {
        auto file = files.begin();
        for (std::size_t i = 0; i <= rows.size(); ++i) {
            for (; file != files.end() && file->before == i; ++file) {
                LongCsv::Walk walk(file->csv);
                while (const Row* row = walk.next())
                    if (!visit(*row)) return;
            }
            if (i < rows.size() && !visit(rows[i])) return;
        }
    }
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

/// Whether a long CSV file becomes rows of its table at once, or stays text that is cut into rows when they
/// are visited.
enum class CsvTables { as_rows, as_text };

/// Reads the case file and, for each table written as a file name (or a list of file names), the CSV beside
/// it. Never throws for bad input: everything wrong is in `errors`. A CSV outside the case's folder (also
/// through a link) is refused. Unknown keys and top-level names are not judged here, but for tables of rows:
/// `points = 5` is refused.
Document read_document(const std::string& path, CsvTables csv = CsvTables::as_rows);

/// The same for a readings file (a TOML document with `readings` and `seen` only, or a CSV of readings: name
/// ending in .csv).
Document read_readings_document(const std::string& path);

/// The same for a CSV of catch cans, whatever its name ends in.
Document read_cans_document(const std::string& path);

}  // namespace evenhead::io
