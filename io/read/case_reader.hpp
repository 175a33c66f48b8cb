// What the files that read a case share: the document, the system as it grows, and what is wrong with it so
// far.
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_set>
#include <utility>
#include <vector>

#include "io/excerpt.hpp"
#include "io/read/id_index.hpp"
#include "io/read/rows.hpp"
#include "model/nearest.hpp"
#include "model/system.hpp"
#include "model/watering.hpp"

namespace evenhead::io {

using Cells = std::vector<std::pair<std::string_view, Cell>>;

/// Position of the last row of a table.
template <class Rows>
model::Index last(const Rows& rows) {
    return static_cast<model::Index>(rows.size()) - 1;
}

/// The row at a position.
template <class Rows>
auto& at(Rows& rows, model::Index position) {
    return rows[static_cast<std::size_t>(position)];
}

/// Sizes as rows write them, and what they are.
struct KnownSizes {
    std::string last_kind, last_text;  ///< of the row before: the next one mostly says the same
    model::Shared<model::PipeSize> last;
    std::map<std::string, model::Shared<model::PipeSize>, std::less<>> by_text;  ///< by kind and text
    std::map<std::string, model::Shared<model::PipeSize>, std::less<>>
        by_values;  ///< those that differ from any text
};

class CaseReader {
  public:
    explicit CaseReader(Document read);

    Document document;
    model::System system;
    model::WateringPlan watering;
    std::vector<model::Issue> errors,
        warnings;  ///< in the order found; take_errors() has them in that of the files

    /// False once an error leaves the graph in doubt: then the layout is not asked what is wrong with it.
    bool graph_sound;

    IdIndex<model::Point> points{system, system.points};
    IdIndex<model::Nozzle> nozzles{system, system.nozzles};
    IdIndex<model::Pipe> pipes{system, system.pipes};
    IdIndex<model::Run> runs{system, system.runs};

    /// The case's own kinds: the rows of System::kinds that are a size of it.
    std::map<std::string, std::vector<model::Index>, std::less<>> own_kinds;
    /// Sizes already resolved: long tables repeat a few, and their pipes share them.
    KnownSizes known_sizes;

    /// The laterals as they stand in the document, for the second look that makes their pipes.
    struct LateralRow {
        const Row* row;
        model::Index lateral;
    };
    std::vector<LateralRow> lateral_rows;

    /// What a pipe's `uphill` says of the end `to`; worked out once every pipe is known.
    struct Rise {
        model::Index pipe;
        model::Quantity height;  ///< m
        model::Place place;
    };
    std::vector<Rise> rises;

    /// Reports what is wrong; the same words about the same place only once (a default serves many rows), and
    /// nothing more once nobody would read on.
    void error(const model::Place& place, std::string row, std::string text, std::string mend);
    void warn(const model::Place& place, std::string row, std::string text, std::string mend);
    void assume(std::string_view subject, std::string_view what, std::string_view words,
                std::string_view why);
    void assume(std::string_view subject, std::string_view what, double number, model::Dimension dimension,
                std::string_view why);

    /// True after so many errors that nobody would read on: then nothing more is looked at.
    bool full() const { return full_; }

    /// Calls `visit(row)` for every row of the tables of this name, in the order of the file.
    template <class Visit>
    void each_row(std::string_view name, const Visit& visit) const {
        if (const Table* table = document.find_table(name))
            table->visit([&](const Row& row) {
                if (full()) return false;
                visit(row);
                return true;
            });
    }
    std::size_t count_rows(std::string_view name) const;
    /// Gives back the memory of a table's rows, and of the files they stay in, once nobody looks at them
    /// again.
    void forget_rows(std::string_view name);
    /// A name of another table that nobody defines. Not said where part of the document could not be read:
    /// the table that defines it may be in that part.
    bool undefined_names_count() const { return document.complete; }

    /// The keys that `defaults.<table>` gives, or nullptr.
    const Cells* defaults(std::string_view table) const;

    /// Adds a point; where the id is taken, says so naming both places and returns none.
    model::Index add_point(std::string_view id, model::PointKind kind, model::Index row,
                           const model::Place& place);
    /// The point of this id; makes a plain one where no row defines it.
    model::Index point_named(std::string_view id, const model::Place& place);
    /// The valve of this id (a row of `valves`, or a head with a valve of its own), or none.
    model::Index valve_named(std::string_view id) const;

    /// "line 12", or "line 12 of pipes.csv" where that is another file than `from`'s.
    std::string place_words(const model::Place& place, const model::Place& from) const;

    /// Names that may still be looked through for one that was meant: long tables with many errors would take
    /// long.
    std::size_t names_left = 20'000'000;

    /// All that is wrong, in the order of file and line; where not all was looked at, that this is so.
    std::vector<model::Issue> take_errors();
    std::vector<model::Issue> take_warnings();

  private:
    model::Index append_point(std::string_view id, model::PointKind kind, model::Index row,
                              const model::Place& place);
    bool said_before(const model::Place& place, std::string_view text);

    std::unordered_set<std::size_t> said_;
    model::Index last_named_ = model::none;
    bool full_ = false;
};

/// Of the names in the case's tables, the one probably meant by a misspelt word.
class Meant {
  public:
    Meant(CaseReader& reader, std::string_view word) : reader_(reader), nearest_(word) {}

    /// Looks through a table whose rows have an id, or a point that has.
    template <class Rows>
    Meant& among(const Rows& rows) {
        if (rows.size() > reader_.names_left) return *this;
        reader_.names_left -= rows.size();
        for (const auto& row : rows) {
            if constexpr (requires { row.id; })
                nearest_.offer(row.id);
            else if constexpr (requires { row.own_id; })
                nearest_.offer(reader_.system.pipe_id(row));
            else
                nearest_.offer(reader_.system.point_id(row.point));
        }
        return *this;
    }
    /// `did you mean "lawn"?`, or where nothing is near `otherwise`.
    std::string mend(std::string_view otherwise) const;

  private:
    CaseReader& reader_;
    model::NearestName nearest_;
};

/// The word for a kind of point: "valve", "tee or end" ...
std::string_view kind_word(model::PointKind kind);

/// `did you mean "flow"?` or, where nothing is near, `otherwise`.
std::string did_you_mean(std::optional<std::string_view> nearest, std::string_view otherwise);

class Fields;

/// A table of rows that a case may have: its keys and who reads it. Each is defined beside its reader.
struct TableReader {
    std::string_view name;
    std::span<const std::string_view> keys;
    void (*read)(CaseReader&);
};
extern const TableReader kinds_table, nozzles_table, supplies_table, devices_table, valves_table,
    laterals_table, heads_table, points_table, pipes_table, prices_table, runs_table, conditions_table,
    readings_table, seen_table, areas_table, watering_table;

/// Every table, in the order in which they are read: what a row refers to comes before it.
std::span<const TableReader* const> case_tables();
const TableReader* find_table(std::string_view name);

// What stands at the top of a case beside its tables, each in the file of its name.
void read_top(CaseReader& reader);
void read_window(const Fields& top);
void read_defaults(CaseReader& reader);
void read_limits(CaseReader& reader);
void raise_points(CaseReader& reader);

}  // namespace evenhead::io
