// How much water zones want, and the hours in which they may get it.
#include <fmt/format.h>

#include <map>

#include "io/read/fields.hpp"
#include "io/units.hpp"
#include "io/week.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::OptionalQuantity;
using model::Watering;

constexpr std::string_view watering_keys[] = {"valve",   "need", "eto",   "coefficient", "intake",
                                              "storage", "days", "group", "rate",        "du_lq"};
constexpr std::string_view window_keys[] = {"from", "to", "days"};
constexpr std::string_view name_days = R"(write days = ["mon", "thu"])";

/// The days that a list or a text with blanks names; nothing where one of them is none, which is said.
model::Days read_days(const Fields& fields, const Cell& cell, std::string_view mend) {
    model::Days days = 0;
    const auto words = fields.references(cell, "days");
    for (const std::string_view word : words) {
        const auto day = weekday_of(word);
        if (!day) {
            fields.error(cell, fmt::format("days names {}, which is no day of the week", quoted(word)),
                         did_you_mean(model::nearest_name(word, weekday_words),
                                      fmt::format("write some of {}", fmt::join(weekday_words, " "))));
            return 0;
        }
        days |= 1U << *day;
    }
    if (days == 0) fields.error(cell, "days names no day", std::string(mend));
    return days;
}

void read_watering_days(const Fields& fields, Watering& watering) {
    const Cell* cell = fields.find("days");
    if (!cell) return;
    const bool digits = cell->kind == Cell::Kind::text && !cell->text.empty() &&
                        cell->text.find_first_not_of("0123456789") == std::string_view::npos;
    const bool number = cell->kind == Cell::Kind::integer || cell->kind == Cell::Kind::number || digits;
    if (number)
        watering.times = fields.count("days", 7).value_or(0);
    else
        watering.days = read_days(fields, *cell, R"(write days = ["mon", "thu"], or how many a week)");
}

/// A depth of water above zero, in inches or millimetres where it has no unit.
OptionalQuantity read_depth(const Fields& fields, std::string_view key) {
    const Cell* cell = fields.find(key);
    if (!cell) return std::nullopt;
    const model::UnitSystem units = fields.reader().system.units;
    model::Quantity depth;
    if (cell->kind == Cell::Kind::integer || cell->kind == Cell::Kind::number)
        depth.value = from_units(cell->number, Dimension::bore, units);
    else if (cell->kind == Cell::Kind::text)
        depth = parse_quantity(cell->text, Dimension::bore, units).quantity;
    if (depth.value > 0 && depth.value < 1000) return depth;
    fields.error(*cell, fmt::format("{} is no depth of water", shown(key, *cell)),
                 units == model::UnitSystem::us ? R"(write a depth such as 1 or "1 in")"
                                                : R"(write a depth such as 25 or "25 mm")");
    return model::Quantity{};
}

/// Needed to make a timetable: "?" is no value.
OptionalQuantity read_known(const Fields& fields, std::string_view key, Dimension dimension) {
    OptionalQuantity found = fields.above_zero(key, dimension);
    if (const Cell* cell = fields.find(key); cell && cell->kind == Cell::Kind::text && cell->text == "?")
        fields.error(*cell, fmt::format("{} is not known", key), "give a number, or leave the row out");
    return found;
}

void read_need(const Fields& fields, Watering& watering) {
    fields.at_most_one({"need", "eto"}, "give the need itself, or eto with the coefficient of what grows");
    if (const auto need = read_depth(fields, "need")) {
        watering.need = need->value;
        if (const Cell* coefficient = fields.own("coefficient"))
            fields.error(*coefficient, "a need takes no coefficient",
                         "leave coefficient out, or give eto in place of need");
        return;
    }
    watering.eto = read_depth(fields, "eto");
    watering.coefficient = read_known(fields, "coefficient", Dimension::none);
    if (!watering.eto) {
        fields.missing("need", "give the depth of water a week, or eto with coefficient");
    } else if (!watering.coefficient) {
        fields.missing("coefficient", "give what share of eto the planting needs, such as coefficient = 0.8");
    } else {
        watering.need = watering.eto->value * watering.coefficient->value;
    }
}

void read_watering(CaseReader& reader) {
    std::map<model::Index, model::Place> known;
    reader.each_row("watering", [&](const Row& row) {
        Fields fields(reader, watering_table, row);
        fields.exclude_defaults_if_own({"need", "eto", "coefficient"});
        Watering watering;
        watering.place = row.place;
        watering.valve = fields.valve();
        read_need(fields, watering);
        watering.intake = read_known(fields, "intake", Dimension::rate);
        watering.storage = read_depth(fields, "storage");
        watering.rate = read_known(fields, "rate", Dimension::rate);
        watering.du_lq = read_known(fields, "du_lq", Dimension::share);
        if (watering.du_lq && watering.du_lq->value > 1)
            fields.error(*fields.find("du_lq"),
                         fmt::format("{} is more than the whole", shown("du_lq", *fields.find("du_lq"))),
                         "write a share such as \"70 %\"");
        else if (watering.du_lq && watering.du_lq->known())
            fields.warn_of_bare_fraction("du_lq");
        read_watering_days(fields, watering);
        watering.group = fields.text("group");
        if (watering.valve == model::none) return;
        if (const auto [other, first] = known.try_emplace(watering.valve, row.place); !first) {
            fields.error(row.place,
                         fmt::format("the valve is already watered on {}",
                                     reader.place_words(other->second, row.place)),
                         "keep one row for each valve");
            return;
        }
        reader.watering.rows.push_back(std::move(watering));
    });
}

/// Minutes after midnight; empty, and said, where the key is missing or no time.
std::optional<int> read_time(const Fields& fields, std::string_view key, std::string_view example) {
    const Cell* cell = fields.find(key);
    if (!cell) {
        fields.missing(key, fmt::format("write {} = \"{}\"", key, example));
        return std::nullopt;
    }
    if (cell->kind == Cell::Kind::text || cell->kind == Cell::Kind::date)
        if (const auto time = time_of_day(cell->text)) return time;
    fields.error(*cell, fmt::format("{} is no time of day", shown(key, *cell)),
                 fmt::format("write hours and minutes, such as {} = \"{}\"", key, example));
    return std::nullopt;
}

}  // namespace

void read_window(const Fields& top) {
    const Cell* cell = top.find("window");
    if (!cell) return;
    if (cell->kind != Cell::Kind::table) {
        top.error(*cell, fmt::format("{} is no window", shown("window", *cell)),
                  R"(write window = { from = "22:00", to = "06:00" })");
        return;
    }
    const TableReader table{"window", window_keys, nullptr};
    const Fields fields(top.reader(), table, cell->fields, nullptr, cell->place, "window");
    const auto from = read_time(fields, "from", "22:00"), to = read_time(fields, "to", "06:00");
    model::Window window;
    window.place = cell->place;
    if (const Cell* days = fields.find("days")) {
        if (days->kind == Cell::Kind::integer || days->kind == Cell::Kind::number)
            fields.error(*days, "a window opens on days that are named", std::string(name_days));
        else
            window.days = read_days(fields, *days, name_days);
    }
    if (!from || !to) return;
    if (*from == *to) {
        fields.error(*fields.find("to"), "the window closes at the minute at which it opens",
                     R"(a whole day is from = "00:00", to = "24:00")");
        return;
    }
    window.from = *from % 1440;
    window.length = *to > *from ? *to - *from : *to + 1440 - *from;
    top.reader().watering.window = window;
}

const TableReader watering_table{"watering", watering_keys, read_watering};

}  // namespace evenhead::io
