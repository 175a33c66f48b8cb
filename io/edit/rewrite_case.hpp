// A case with some cells changed and everything else of the user's own text as it was: comments, order,
// blanks, in the TOML and in the CSV tables that it names.
#pragma once

#include <functional>
#include <stdexcept>
#include <string>
#include <vector>

#include "io/edit/case_stamp.hpp"
#include "io/read/rows.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// One cell that is to say something else. A row that does not have the key is given it.
struct CellEdit {
    std::string table;  ///< of rows, such as "pipes"; empty: `key` stands at the top of the case
    model::Place row;   ///< where the row stands, as the reader says it (Pipe::place, Point::place ...)
    std::string key;    ///< such as "size", "own_valve.cv"
    std::string value;  ///< what shall stand there, without quotes
    bool bare = false;  ///< a number, true or a list: TOML writes it without quotes
    int item = -1;      ///< of a list or of a chart's column, from 0; below 0: the whole value
    std::string instead_of{};    ///< key of the row that goes away with it, such as "size" for "sizes"
    bool only_if_there = false;  ///< a row that does not have the key is not given it
};

/// A row that becomes several, one behind the other: copies of it, each with edits of its own.
struct RowParts {
    std::string table;
    model::Place row;
    std::vector<std::vector<CellEdit>> parts;  ///< at least one; every edit is of this row
};

struct CaseEdits {
    std::vector<CellEdit> cells;
    std::vector<RowParts> parts;
};

/// A file as it shall be written.
struct CaseFile {
    std::string path;
    std::string text;
};

struct RewrittenCase {
    std::vector<CaseFile> files;
    /// Edits that have no place: no such row or key at the top (what a lateral makes has no row of its own),
    /// or none of that key and `only_if_there`.
    std::vector<CellEdit> left_out;
};

/// The case cannot be written there. what() is a plain sentence, with what would be right.
struct RewriteError : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// The case at `path` with these edits, to be written as `target`: the case itself first, then CSV tables
/// and the file of a rule set that it names. Those are written under a name of their own beside `target`
/// ("target-pipes.csv", which the new case names) where an edit concerns them, or where `target` lies in
/// another folder; the files of the old case are never among them. Throws RewriteError where `target` is a
/// file of the case, where the case can no longer be read without an error, or is not what `stamp` says
/// (null: whatever it is), and std::logic_error where two edits are of one cell.
RewrittenCase rewrite_case(const std::string& path, const std::string& target,
                           const std::vector<CellEdit>& edits, const CaseStamp* stamp = nullptr);

/// The same with edits that depend on how the rows are written.
RewrittenCase rewrite_case_as_read(const std::string& path, const std::string& target,
                                   const std::function<CaseEdits(const Document&)>& edits_of,
                                   const CaseStamp* stamp = nullptr);

/// Writes the files, tables first, so that a new case never names a table that is not there. Throws
/// WriteError.
void write_case(const std::vector<CaseFile>& files);

}  // namespace evenhead::io
