// The cells of one row by key and type. Whatever is wrong goes to the reader with the row's name and what
// would be right.
#pragma once

#include <array>
#include <initializer_list>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "io/read/case_reader.hpp"
#include "model/quantity.hpp"

namespace evenhead::io {

/// Looks for a key in the row, then in the defaults of its table.
class Fields {
  public:
    /// Reads a row of a table; keys that the table does not have are refused at once.
    Fields(CaseReader& reader, const TableReader& table, const Row& row);
    /// Reads cells that stand for a row elsewhere (a head that a lateral makes, a head's own valve,
    /// `limits`). `name` is what messages call the row.
    Fields(CaseReader& reader, const TableReader& table, const Cells& cells, const Cells* defaults,
           const model::Place& place, std::string_view name);

    CaseReader& reader() const { return reader_; }
    const model::Place& place() const { return place_; }
    /// What messages call the row: its id, else what else tells it apart.
    std::string row() const;

    const Cell* own(std::string_view key) const;   ///< in the row itself
    const Cell* find(std::string_view key) const;  ///< in the row, else in the defaults
    bool has(std::string_view key) const { return find(key) != nullptr; }
    /// Keys that say the same in different ways: where the row gives one of them, no default of the group
    /// counts.
    void exclude_defaults_if_own(std::initializer_list<std::string_view> group);
    /// Says so where more than one of these keys is given; the number of those that are.
    std::size_t at_most_one(std::initializer_list<std::string_view> keys, std::string_view mend) const;

    void error(const model::Place& place, std::string text, std::string mend) const;
    void error(const Cell& cell, std::string text, std::string mend) const {
        error(cell.place, std::move(text), std::move(mend));
    }
    void warn(const model::Place& place, std::string text, std::string mend) const;
    void missing(std::string_view key, std::string mend) const;
    /// A bare share is percent: warns of one below 1, where a fraction was probably meant.
    void warn_of_bare_fraction(std::string_view key) const;

    /// The row's id. Where it is missing or no id, says so; then the graph is in doubt.
    std::optional<std::string_view> id() const;
    /// An id that refers to another row, or nullopt where the key is missing (which is said if `mend` is
    /// given).
    std::optional<std::string_view> reference(std::string_view key, std::string_view mend = {}) const;
    /// The cell's text as an id; nothing, and said, where it is none.
    std::optional<std::string_view> as_id(const Cell& cell, std::string_view key) const;
    /// The ids of a list, or of a text with blanks between them.
    std::vector<std::string_view> references(const Cell& cell, std::string_view key) const;

    /// Position of the valve that the key `valve` names; none where it is missing or nobody defines it, which is
    /// said.
    model::Index valve() const;

    /// Present but not known() where the case says "?", and also where the value is wrong, which is said.
    model::OptionalQuantity quantity(std::string_view key, model::Dimension dimension) const;
    model::OptionalQuantity above_zero(std::string_view key, model::Dimension dimension) const;
    model::OptionalQuantity zero_or_more(std::string_view key, model::Dimension dimension) const;
    /// The numbers of a column of a chart: one number is a column of one row. Empty where the key is missing.
    std::vector<model::Quantity> column(std::string_view key, model::Dimension dimension) const;
    model::Quantity read(const Cell& cell, std::string_view key, model::Dimension dimension) const;

    bool flag(std::string_view key, bool otherwise) const;
    std::string text(std::string_view key) const;
    std::optional<int> count(std::string_view key, int most) const;
    /// Pairs of plain numbers of one dimension each: [[x, y], ...], or "x y; x y" in a cell.
    std::vector<std::array<double, 2>> pairs(std::string_view key, model::Dimension first,
                                             model::Dimension second) const;

  private:
    void refuse_unknown(const TableReader& table) const;
    double plain_number(const Cell& cell, std::string_view key, model::Dimension dimension) const;

    CaseReader& reader_;
    std::string_view table_, name_;
    const Cells& cells_;
    const Cells* defaults_;
    model::Place place_;
    std::array<std::string_view, 8> hidden_{};  ///< keys whose defaults do not count
    std::size_t hidden_count_ = 0;
};

/// The single cells of a chart column: the items of a list, or the cell itself.
std::span<const Cell> chart_cells(const Cell& cell);

/// The cell of this key, or nullptr.
const Cell* find_cell(const Cells& cells, std::string_view key);

/// A cell as messages show it: "62 psi" in quotes, 62 as written, a list, a table.
std::string shown(const Cell& cell);

/// `static = "62 gpm"`
std::string shown(std::string_view key, const Cell& cell);

/// Refuses keys that are not among `keys`, naming the nearest. `what` is what has those keys: "a row of
/// pipes".
void refuse_unknown_keys(CaseReader& reader, const Cells& cells, std::span<const std::string_view> keys,
                         const std::string& what, const std::string& row);

inline constexpr std::size_t longest_id = 64;  // characters

/// True for nearly every id: short, and of printable ASCII. What is left may be one as well.
bool is_plain_id(std::string_view text);

/// What is wrong with a text as an id; empty where it is one.
std::string id_fault(std::string_view id);

}  // namespace evenhead::io
