#include "io/read/fields.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/units.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::OptionalQuantity;
using model::Quantity;

/// "a pressure such as 60 or "60 psi"", in the words and units of the case.
std::string example_of(Dimension dimension, model::UnitSystem units) {
    const bool us = units == model::UnitSystem::us;
    switch (dimension) {
        case Dimension::pressure:
            return us ? R"(a pressure such as 60 or "60 psi")" : R"(a pressure such as 400 or "4 bar")";
        case Dimension::flow:
            return us ? R"(a flow such as 12 or "12 gpm")" : R"(a flow such as 40 or "40 L/min")";
        case Dimension::length:
            return us ? R"(a length such as 30 or "30 ft")" : R"(a length such as 9 or "9 m")";
        case Dimension::bore:
            return us ? R"(a bore such as 1.05 or "1.05 in")" : R"(a bore such as 28 or "28 mm")";
        case Dimension::velocity:
            return us ? R"(a velocity such as 5 or "5 ft/s")" : R"(a velocity such as 1.5 or "1.5 m/s")";
        case Dimension::rate:
            return us ? R"(a rate such as 1.5 or "1.5 in/h")" : R"(a rate such as 38 or "38 mm/h")";
        case Dimension::area:
            return us ? R"(an area such as 800 or "800 ft2")" : R"(an area such as 75 or "75 m2")";
        case Dimension::temperature:
            return us ? R"(a temperature such as 60 or "60 degF")"
                      : R"(a temperature such as 15 or "15 degC")";
        case Dimension::roughness:
            return us ? R"(a roughness such as 0.00006 or "0.00006 in")"
                      : R"(a roughness such as 0.0015 or "0.0015 mm")";
        case Dimension::modulus:
            return us ? R"(a modulus such as 400000 or "400000 psi")"
                      : R"(a modulus such as 2800 or "2800 MPa")";
        case Dimension::price:
            return "a price such as 0.85";
        case Dimension::share:
            return R"(a share such as "10 %")";
        case Dimension::time:
            return R"(a time such as "90 s")";
        case Dimension::angle:
            return "an angle in degrees such as 90";
        case Dimension::none:
            break;
    }
    return "a number such as 1.5";
}

/// "a pressure"
std::string noun(Dimension dimension) {
    const std::string example = example_of(dimension, model::UnitSystem::us);
    return example.substr(0, example.find(" such"));
}

bool same_word(std::string_view text, std::string_view word) {
    return text.size() == word.size() &&
           std::equal(text.begin(), text.end(), word.begin(),
                      [](char a, char b) { return (a >= 'A' && a <= 'Z' ? a - 'A' + 'a' : a) == b; });
}

/// Cuts `text` at every character of `separators`; empty parts are left out.
std::vector<std::string_view> parts(std::string_view text, std::string_view separators) {
    std::vector<std::string_view> cut;
    for (std::size_t begin = text.find_first_not_of(separators); begin != std::string_view::npos;) {
        const std::size_t end = std::min(text.find_first_of(separators, begin), text.size());
        cut.push_back(text.substr(begin, end - begin));
        begin = text.find_first_not_of(separators, end);
    }
    return cut;
}

}  // namespace

std::span<const Cell> chart_cells(const Cell& cell) {
    if (cell.kind == Cell::Kind::list) return cell.items;
    return {&cell, 1};
}

const Cell* find_cell(const Cells& cells, std::string_view key) {
    for (const auto& [name, cell] : cells)
        if (name.size() == key.size() && name.front() == key.front() && name == key) return &cell;
    return nullptr;
}

std::string shown(const Cell& cell) {
    switch (cell.kind) {
        case Cell::Kind::text:
            return quoted(cell.text);
        case Cell::Kind::list:
            return "a list";
        case Cell::Kind::table:
            return "a table";
        case Cell::Kind::integer:
        case Cell::Kind::number:
        case Cell::Kind::boolean:
        case Cell::Kind::date:
            break;
    }
    return excerpt(cell.text);
}

std::string shown(std::string_view key, const Cell& cell) {
    return fmt::format("{} = {}", key, shown(cell));
}

namespace {

bool in_csv(const Cell& cell) {
    if (cell.csv) return true;
    if (!cell.fields.empty()) return in_csv(cell.fields.front().second);
    return !cell.items.empty() && in_csv(cell.items.front());
}

}  // namespace

void refuse_unknown_keys(CaseReader& reader, const Cells& cells, std::span<const std::string_view> keys,
                         const std::string& what, const std::string& row) {
    for (const auto& [key, cell] : cells) {
        if (reader.full()) return;
        if (std::find(keys.begin(), keys.end(), key) != keys.end()) continue;
        // The key of a column stands in the first line, and is said once for all rows.
        const bool column = in_csv(cell);
        model::Place place = cell.key_place();
        if (column) place.line = at(reader.document.header_lines, cell.place.file);
        reader.error(place, column ? fmt::format("the first line, field {}", place.column) : row,
                     fmt::format("{} has no key {}", what, quoted(key)),
                     did_you_mean(model::nearest_name(key, keys),
                                  fmt::format("its keys are {}", fmt::join(keys, " "))));
    }
}

Fields::Fields(CaseReader& reader, const TableReader& table, const Row& row)
    : reader_(reader),
      table_(table.name),
      cells_(row.cells),
      defaults_(reader.defaults(table.name)),
      place_(row.place) {
    if (!row.keys_known) refuse_unknown(table);
}

Fields::Fields(CaseReader& reader, const TableReader& table, const Cells& cells, const Cells* defaults,
               const model::Place& place, std::string_view name)
    : reader_(reader), table_(table.name), name_(name), cells_(cells), defaults_(defaults), place_(place) {
    refuse_unknown(table);
}

void Fields::refuse_unknown(const TableReader& table) const {
    const auto known = [&](const auto& cell) {
        return std::find(table.keys.begin(), table.keys.end(), cell.first) != table.keys.end();
    };
    if (std::all_of(cells_.begin(), cells_.end(), known))
        return;  // the words below are made for the few that fail
    refuse_unknown_keys(reader_, cells_, table.keys,
                        fmt::format("{}{}", find_table(table.name) ? "a row of " : "", table.name), row());
}

std::string Fields::row() const {
    if (!name_.empty()) return std::string(name_);
    const auto text_of = [&](std::string_view key) {
        const Cell* cell = own(key);
        return cell ? excerpt(cell->text) : std::string();
    };
    if (std::string id = text_of("id"); !id.empty()) return id;
    const auto end = [&](std::string_view key) { return own(key) ? text_of(key) : "?"; };
    if (own("from") || own("to")) return end("from") + "-" + end("to");
    for (const std::string_view key : {"along", "at", "size", "valve"})
        if (std::string text = text_of(key); !text.empty()) return text;
    return fmt::format("a row of {}", table_);
}

const Cell* Fields::own(std::string_view key) const {
    return find_cell(cells_, key);
}

const Cell* Fields::find(std::string_view key) const {
    if (const Cell* cell = own(key)) return cell;
    if (!defaults_) return nullptr;
    const auto hidden_end = hidden_.begin() + static_cast<std::ptrdiff_t>(hidden_count_);
    if (std::find(hidden_.begin(), hidden_end, key) != hidden_end) return nullptr;
    return find_cell(*defaults_, key);
}

void Fields::exclude_defaults_if_own(std::initializer_list<std::string_view> group) {
    if (std::none_of(group.begin(), group.end(), [&](std::string_view key) { return own(key); })) return;
    hidden_count_ = std::min(group.size(), hidden_.size());
    std::copy_n(group.begin(), hidden_count_, hidden_.begin());
}

std::size_t Fields::at_most_one(std::initializer_list<std::string_view> keys, std::string_view mend) const {
    std::string_view first;
    std::size_t count = 0;
    for (const std::string_view key : keys) {
        const Cell* cell = find(key);
        if (!cell) continue;
        if (++count == 1)
            first = key;
        else
            error(*cell, fmt::format("both {} and {} are given", first, key), std::string(mend));
    }
    return count;
}

void Fields::error(const model::Place& place, std::string text, std::string mend) const {
    reader_.error(place, row(), std::move(text), std::move(mend));
}

void Fields::warn(const model::Place& place, std::string text, std::string mend) const {
    reader_.warn(place, row(), std::move(text), std::move(mend));
}

void Fields::missing(std::string_view key, std::string mend) const {
    error(place_, fmt::format("{} is missing", key), std::move(mend));
}

void Fields::warn_of_bare_fraction(std::string_view key) const {
    const Cell& cell = *find(key);
    if (cell.kind == Cell::Kind::number && cell.number > 0 && cell.number < 1)
        warn(cell.place, fmt::format("{} is less than one percent", shown(key, cell)),
             fmt::format("a bare number is percent: for a tenth write {} = \"10 %\"", key));
}

std::optional<std::string_view> Fields::as_id(const Cell& cell, std::string_view key) const {
    if (cell.kind != Cell::Kind::text && cell.kind != Cell::Kind::integer) {
        const bool quotes_help = cell.kind == Cell::Kind::number || cell.kind == Cell::Kind::date;
        error(cell, fmt::format("{} is not an id", shown(key, cell)),
              quotes_help ? fmt::format("put it in quotes: {} = \"{}\"", key, cell.text)
                          : std::string("an id is a text without blanks, such as \"L1\""));
        return std::nullopt;
    }
    if (is_plain_id(cell.text)) return cell.text;
    if (const std::string fault = id_fault(cell.text); !fault.empty()) {
        error(cell, fmt::format("{} {}", shown(key, cell), fault),
              fmt::format("an id has 1 to {} characters and no blanks, such as \"L1\"", longest_id));
        return std::nullopt;
    }
    return cell.text;
}

std::optional<std::string_view> Fields::id() const {
    std::optional<std::string_view> id;
    if (const Cell* cell = own("id"))
        id = as_id(*cell, "id");
    else
        missing("id", "give the row an id of its own, such as id = \"L1\"");
    if (!id) reader_.graph_sound = false;
    return id;
}

std::optional<std::string_view> Fields::reference(std::string_view key, std::string_view mend) const {
    if (const Cell* cell = find(key)) return as_id(*cell, key);
    if (!mend.empty()) missing(key, std::string(mend));
    return std::nullopt;
}

std::vector<std::string_view> Fields::references(const Cell& cell, std::string_view key) const {
    if (cell.kind == Cell::Kind::text) return parts(cell.text, " \t");
    std::vector<std::string_view> ids;
    for (const Cell& item : chart_cells(cell))
        if (const auto id = as_id(item, key)) ids.push_back(*id);
    return ids;
}

model::Index Fields::valve() const {
    const auto id = reference("valve", "name the valve");
    if (!id) return model::none;
    const model::Index valve = reader_.valve_named(*id);
    if (valve == model::none && reader_.undefined_names_count()) {
        error(*find("valve"), fmt::format("nobody defines the valve {}", quoted(*id)),
              Meant(reader_, *id).among(reader_.system.valves).mend("name a row of valves"));
    }
    return valve;
}

Quantity Fields::read(const Cell& cell, std::string_view key, Dimension dimension) const {
    const model::UnitSystem units = reader_.system.units;
    if (cell.kind == Cell::Kind::integer || cell.kind == Cell::Kind::number) {
        const double value = from_units(cell.number, dimension, units);
        if (within_reach(value, dimension)) return {value, 0};
        error(cell,
              std::isfinite(cell.number)
                  ? fmt::format("{} is too large or too small to be {}", shown(key, cell), noun(dimension))
                  : fmt::format("{} is not a finite number", shown(key, cell)),
              fmt::format("write {}", example_of(dimension, units)));
        return {};
    }
    if (cell.kind == Cell::Kind::text) {
        if (const auto bare = parse_bare_number(cell.text, dimension, units)) return *bare;
        ParsedQuantity parsed = parse_quantity(cell.text, dimension, units);
        if (parsed.error.empty()) return parsed.quantity;
        error(cell, fmt::format("{} = {}", key, parsed.error), std::move(parsed.mend));
        return {};
    }
    error(cell, fmt::format("{} is not {}", shown(key, cell), noun(dimension)),
          fmt::format("write {}", example_of(dimension, units)));
    return {};
}

OptionalQuantity Fields::quantity(std::string_view key, Dimension dimension) const {
    const Cell* cell = find(key);
    if (!cell) return std::nullopt;
    return read(*cell, key, dimension);
}

OptionalQuantity Fields::above_zero(std::string_view key, Dimension dimension) const {
    OptionalQuantity found = quantity(key, dimension);
    if (found && found->value <= 0) {
        const Cell& cell = *find(key);
        error(cell, fmt::format("{} is not above zero", shown(key, cell)),
              fmt::format("write {}", example_of(dimension, reader_.system.units)));
        found = Quantity{};
    }
    return found;
}

OptionalQuantity Fields::zero_or_more(std::string_view key, Dimension dimension) const {
    OptionalQuantity found = quantity(key, dimension);
    if (found && found->value < 0) {
        const Cell& cell = *find(key);
        error(cell, fmt::format("{} is negative", shown(key, cell)), fmt::format("{} is 0 or more", key));
        found = Quantity{};
    }
    return found;
}

std::vector<Quantity> Fields::column(std::string_view key, Dimension dimension) const {
    std::vector<Quantity> numbers;
    if (const Cell* cell = find(key))
        for (const Cell& item : chart_cells(*cell)) numbers.push_back(read(item, key, dimension));
    return numbers;
}

bool Fields::flag(std::string_view key, bool otherwise) const {
    const Cell* cell = find(key);
    if (!cell) return otherwise;
    if (cell->kind == Cell::Kind::boolean) return cell->boolean;
    if (cell->csv && same_word(cell->text, "true")) return true;
    if (cell->csv && same_word(cell->text, "false")) return false;
    error(*cell, fmt::format("{} is neither true nor false", shown(key, *cell)),
          fmt::format("write {} = true or {} = false, without quotes", key, key));
    return otherwise;
}

std::string Fields::text(std::string_view key) const {
    const Cell* cell = find(key);
    if (!cell) return {};
    if (cell->kind == Cell::Kind::list || cell->kind == Cell::Kind::table) {
        error(*cell, fmt::format("{} is not a text", shown(key, *cell)),
              fmt::format("write {} = \"...\"", key));
        return {};
    }
    return std::string(cell->text);
}

std::optional<int> Fields::count(std::string_view key, int most) const {
    const Cell* cell = find(key);
    if (!cell) return std::nullopt;
    const Quantity number = read(*cell, key, Dimension::none);
    if (!number.known() && !(cell->kind == Cell::Kind::text && cell->text == "?")) return std::nullopt;
    if (number.value >= 1 && number.value <= most && number.value == std::floor(number.value))
        return static_cast<int>(number.value);
    error(*cell, fmt::format("{} is not a count", shown(key, *cell)),
          fmt::format("write a whole number from 1 to {}", most));
    return std::nullopt;
}

double Fields::plain_number(const Cell& cell, std::string_view key, Dimension dimension) const {
    return read(cell, key, dimension).value;
}

std::vector<std::array<double, 2>> Fields::pairs(std::string_view key, Dimension first,
                                                 Dimension second) const {
    std::vector<std::array<double, 2>> found;
    const Cell* cell = find(key);
    if (!cell) return found;
    const auto refuse = [&](const Cell& wrong) {
        error(wrong, fmt::format("{} is not a list of pairs of numbers", key),
              cell->csv ? "write two numbers with a blank between them, and ; between the pairs: 0 0; 12 0"
                        : fmt::format("write {} = [[0, 0], [12, 0]]", key));
    };
    if (cell->kind == Cell::Kind::text) {
        for (const std::string_view pair : parts(cell->text, ";")) {
            const auto numbers = parts(pair, " \t,");
            if (numbers.empty()) continue;
            if (numbers.size() != 2) {
                refuse(*cell);
                return {};
            }
            Cell part = *cell;
            part.text = numbers[0];
            const double x = plain_number(part, key, first);
            part.text = numbers[1];
            found.push_back({x, plain_number(part, key, second)});
        }
        return found;
    }
    if (cell->kind != Cell::Kind::list) {
        refuse(*cell);
        return {};
    }
    for (const Cell& pair : cell->items) {
        if (pair.kind != Cell::Kind::list || pair.items.size() != 2) {
            refuse(pair);
            return {};
        }
        found.push_back({plain_number(pair.items[0], key, first), plain_number(pair.items[1], key, second)});
    }
    return found;
}

}  // namespace evenhead::io
