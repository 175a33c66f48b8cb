// What stands at the top of a case beside its tables: title, units, water, ground, defaults.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/read/fields.hpp"
#include "io/units.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

constexpr std::string_view own_keys[] = {"title",       "job",    "date",   "units",    "show",  "friction",
                                         "temperature", "ground", "origin", "window", "defaults", "limits"};

std::vector<std::string_view> top_keys() {
    std::vector<std::string_view> keys(std::begin(own_keys), std::end(own_keys));
    for (const TableReader* table : case_tables()) keys.push_back(table->name);
    return keys;
}

/// One of two or more words.
template <class Value>
void read_choice(const Fields& top, std::string_view key,
                 std::initializer_list<std::pair<std::string_view, Value>> choices, Value& value) {
    const Cell* cell = top.find(key);
    if (!cell) return;
    std::vector<std::string_view> words;
    for (const auto& [word, meaning] : choices) {
        if (cell->kind == Cell::Kind::text && cell->text == word) {
            value = meaning;
            return;
        }
        words.push_back(word);
    }
    top.error(*cell, fmt::format("{} is not one of its words", shown(key, *cell)),
              fmt::format("write {} = \"{}\"", key, fmt::join(words, fmt::format("\" or {} = \"", key))));
}

void read_show(const Fields& top) {
    const Cell* cell = top.find("show");
    if (!cell) return;
    std::vector<std::pair<Dimension, std::string_view>> chosen;
    for (const std::string_view word : top.references(*cell, "show")) {
        const auto dimension = dimension_of(word);
        if (!dimension) {
            top.error(*cell, fmt::format("show names {}, which is no unit", quoted(word)),
                      did_you_mean(model::nearest_name(word, unit_words()),
                                   fmt::format("the units are {}", fmt::join(unit_words(), " "))));
            continue;
        }
        const auto other =
            std::find_if(chosen.begin(), chosen.end(), [&](const auto& c) { return c.first == *dimension; });
        if (other != chosen.end())
            top.error(
                *cell,
                fmt::format("show names {} and {} for the same thing", quoted(other->second), quoted(word)),
                "keep one of them");
        chosen.emplace_back(*dimension, word);
        top.reader().system.show.emplace_back(word);
    }
}

void read_origin(const Fields& top) {
    const Cell* cell = top.find("origin");
    if (!cell) return;
    const bool pair = cell->kind == Cell::Kind::list && cell->items.size() == 2;
    const double longitude = pair ? top.read(cell->items[0], "origin", Dimension::none).value : 0;
    const double latitude = pair ? top.read(cell->items[1], "origin", Dimension::none).value : 0;
    if (pair && std::abs(longitude) <= 180 && std::abs(latitude) <= 90)
        top.reader().system.origin = {longitude, latitude};
    else
        top.error(*cell, fmt::format("{} is not a place on the earth", shown("origin", *cell)),
                  "write [longitude, latitude] in degrees, such as [-97.7, 30.3]");
}

void read_temperature(const Fields& top) {
    const auto temperature = top.quantity("temperature", Dimension::temperature);
    if (!temperature) return;
    if (temperature->value >= 0 && temperature->value <= 100)
        top.reader().system.temperature = temperature->value;
    else if (temperature->known())
        top.error(*top.find("temperature"),
                  fmt::format("at {} water is not liquid", shown("temperature", *top.find("temperature"))),
                  "write a temperature from 32 to 212 degF (0 to 100 degC)");
    else if (top.find("temperature")->text == "?")
        top.error(*top.find("temperature"), "the temperature of the water is needed by every answer",
                  "leave temperature out: 60 degF (15.6 degC) is then taken");
}

}  // namespace

void read_top(CaseReader& reader) {
    const std::vector<std::string_view> keys = top_keys();
    const TableReader table{"the case", keys, nullptr};
    for (const auto& [key, cell] : reader.document.top)
        if (!reader.full() && std::find(keys.begin(), keys.end(), key) == keys.end())
            reader.error(
                cell.key_place(), excerpt(key), fmt::format("a case has no key or table {}", quoted(key)),
                did_you_mean(model::nearest_name(key, keys), fmt::format("it has {}", fmt::join(keys, " "))));
    static const Cells nothing;
    const Fields top(reader, table, nothing, &reader.document.top, {0, 1, 1}, "the case");
    model::System& system = reader.system;
    read_choice(top, "units", {{"us", model::UnitSystem::us}, {"metric", model::UnitSystem::metric}},
                system.units);
    read_choice(top, "friction",
                {{"hazen-williams", model::FrictionLaw::hazen_williams},
                 {"darcy-weisbach", model::FrictionLaw::darcy_weisbach}},
                system.friction);
    system.title = top.text("title");
    system.job = top.text("job");
    system.date = top.text("date");
    system.ground = top.quantity("ground", Dimension::length);
    read_temperature(top);
    read_show(top);
    read_origin(top);
    read_window(top);
}

void read_defaults(CaseReader& reader) {
    const Cell* all = reader.document.find_top("defaults");
    if (!all) return;
    if (all->kind != Cell::Kind::table) {
        reader.error(all->place, "defaults",
                     fmt::format("{} gives no table its keys", shown("defaults", *all)),
                     "write defaults.pipes = { size = \"pvc-cl200 1\" }");
        return;
    }
    for (const auto& [name, cell] : all->fields) {
        const TableReader* table = find_table(name);
        const std::string row = fmt::format("defaults.{}", excerpt(name));
        if (!table) {
            std::vector<std::string_view> names;
            for (const TableReader* known : case_tables()) names.push_back(known->name);
            reader.error(cell.key_place(), row, fmt::format("a case has no table {}", quoted(name)),
                         did_you_mean(model::nearest_name(name, names),
                                      fmt::format("its tables are {}", fmt::join(names, " "))));
        } else if (cell.kind != Cell::Kind::table) {
            if (cell.kind !=
                Cell::Kind::list)  // else a heading has swallowed the table, which is said already
                reader.error(cell.place, row, fmt::format("{} is not a set of keys", shown(row, cell)),
                             fmt::format("write {} = {{ key = value }}", row));
        } else {
            refuse_unknown_keys(reader, cell.fields, table->keys, fmt::format("a row of {}", name), row);
            if (const Cell* id = find_cell(cell.fields, "id"))
                reader.error(id->key_place(), row, "an id is given as a default",
                             "every row has an id of its own");
        }
    }
}

}  // namespace evenhead::io
