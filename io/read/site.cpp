// What was found on site (readings, things seen) and what the ground is (areas).
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/read/fields.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using model::Point;
using model::PointKind;

constexpr std::string_view readings_keys[] = {"run", "at", "pressure", "flow", "gauge", "side"};
constexpr std::string_view seen_keys[] = {"what", "at", "value"};
constexpr std::string_view areas_keys[] = {"id", "valve", "outline"};

constexpr std::string_view seen_words[] = {"wet", "head-count", "nozzle", "handle", "dry", "no-fault"};

// The usual spread of a reading without one: a gauge to 2 psi (14 kPa), a meter to 6 % and at least 0.2 gpm.
// The standard deviation is half of it.
constexpr double gauge_spread_us = 2 * 6894.757293168361;  // Pa
constexpr double gauge_spread_metric = 14000;              // Pa
constexpr double meter_spread = 0.06;
constexpr double least_meter_spread = 0.2 * 0.003785411784 / 60;  // m3/s

Index resolve_point(const Fields& fields, std::string_view key, std::string_view mend) {
    const auto id = fields.reference(key, mend);
    if (!id) return model::none;
    CaseReader& reader = fields.reader();
    const Index point = reader.points.find(*id);
    if (point == model::none && reader.undefined_names_count()) {
        fields.error(*fields.find(key), fmt::format("nobody defines the point {}", quoted(*id)),
                     Meant(reader, *id).among(reader.system.points).mend(mend));
    }
    return point;
}

void resolve_run(const Fields& fields, model::Reading& reading) {
    const auto id = fields.reference("run", "name the run that was on (\"none\": every valve shut)");
    if (!id) return;
    reading.all_shut = *id == "none";
    if (reading.all_shut) return;
    CaseReader& reader = fields.reader();
    reading.run = reader.runs.find(*id);
    if (reading.run != model::none || !reader.undefined_names_count()) return;
    fields.error(
        *fields.find("run"), fmt::format("nobody defines the run {}", quoted(*id)),
        Meant(reader, *id).among(reader.system.runs).mend("name a run (\"none\": every valve shut)"));
}

/// True where the key says the second of its two words.
bool second_word(const Fields& fields, std::string_view key, std::string_view first, std::string_view second,
                 bool otherwise) {
    const Cell* cell = fields.find(key);
    if (!cell) return otherwise;
    if (cell->kind == Cell::Kind::text && (cell->text == first || cell->text == second))
        return cell->text == second;
    fields.error(*cell, fmt::format("{} is not one of its words", shown(key, *cell)),
                 fmt::format("write {} = \"{}\" or \"{}\"", key, first, second));
    return otherwise;
}

void read_measured(const Fields& fields, model::Reading& reading) {
    reading.pressure = fields.quantity("pressure", Dimension::pressure);
    reading.flow = fields.zero_or_more("flow", Dimension::flow);
    if (!reading.pressure && !reading.flow)
        fields.missing("pressure", "give the pressure or the flow that was read");
    for (const std::string_view key : {"pressure", "flow"})
        if (const Cell* cell = fields.find(key); cell && cell->text == "?")
            fields.error(*cell, fmt::format("a reading whose {} is not known", key), "leave the row out");
    if (reading.pressure && reading.pressure->deviation == 0) {
        const bool us = fields.reader().system.units == model::UnitSystem::us;
        reading.pressure->deviation = (us ? gauge_spread_us : gauge_spread_metric) / 2;
    }
    if (reading.flow && reading.flow->deviation == 0)
        reading.flow->deviation = std::max(meter_spread * reading.flow->value, least_meter_spread) / 2;
}

void read_readings(CaseReader& reader) {
    reader.each_row("readings", [&](const Row& row) {
        Fields fields(reader, readings_table, row);
        model::Reading reading;
        reading.place = row.place;
        resolve_run(fields, reading);
        reading.point = resolve_point(fields, "at", "name the point where it was read");
        fields.at_most_one({"pressure", "flow"}, "write a row for each reading");
        read_measured(fields, reading);
        reading.gauge =
            second_word(fields, "gauge", "pitot", "riser", false) ? model::Gauge::riser : model::Gauge::pitot;
        reading.side =
            second_word(fields, "side", "inlet", "outlet", true) ? model::Side::outlet : model::Side::inlet;
        if (const Cell* side = fields.own("side"); side && reading.point != model::none) {
            const Point& point = at(reader.system.points, reading.point);
            const bool two_sided =
                point.kind == PointKind::device || reader.valve_named(point.id) != model::none;
            if (!two_sided)
                fields.error(*side,
                             fmt::format("the {} {} has no sides", kind_word(point.kind), quoted(point.id)),
                             "side is for valves and devices");
        }
        reader.system.readings.push_back(reading);
    });
}

void read_seen(CaseReader& reader) {
    reader.each_row("seen", [&](const Row& row) {
        const Fields fields(reader, seen_table, row);
        model::Seen seen;
        seen.place = row.place;
        seen.what = fields.text("what");
        const Cell* what = fields.find("what");
        if (!what)
            fields.missing("what", fmt::format("write one of {}", fmt::join(seen_words, " ")));
        else if (std::find(std::begin(seen_words), std::end(seen_words), seen.what) == std::end(seen_words))
            fields.error(*what, fmt::format("{} is nothing that can be seen", shown("what", *what)),
                         did_you_mean(model::nearest_name(seen.what, seen_words),
                                      fmt::format("write one of {}", fmt::join(seen_words, " "))));
        seen.value = fields.text("value");
        const auto id = fields.reference("at", "name the point, pipe or valve where it was seen");
        if (!id) return;
        seen.point = reader.points.find(*id);
        if (seen.point == model::none)
            seen.pipe = reader.pipes.find(*id);
        else
            seen.valve = reader.valve_named(*id);
        if (seen.point == model::none && seen.pipe == model::none && reader.undefined_names_count()) {
            fields.error(*fields.find("at"), fmt::format("nobody defines the point or pipe {}", quoted(*id)),
                         Meant(reader, *id)
                             .among(reader.system.points)
                             .among(reader.system.pipes)
                             .mend("name a point, a pipe or a valve"));
        }
        reader.system.seen.push_back(std::move(seen));
    });
}

void read_areas(CaseReader& reader) {
    std::map<std::string_view, model::Place> known;
    reader.each_row("areas", [&](const Row& row) {
        const Fields fields(reader, areas_table, row);
        model::Area area;
        area.place = row.place;
        area.valve = fields.valve();
        area.outline = fields.pairs("outline", Dimension::length, Dimension::length);
        if (const Cell* outline = fields.find("outline"); !outline)
            fields.missing("outline", "give the corners: outline = [[0, 0], [40, 0], [40, 30]]");
        else if (area.outline.size() == 1 || area.outline.size() == 2 ||
                 (outline->kind == Cell::Kind::list && outline->items.empty()))
            fields.error(*outline, "the outline has fewer than three corners", "give at least three");
        const auto id = fields.reference("id", "give the area an id of its own");
        if (!id) return;
        area.id = *id;
        if (const auto [other, first] = known.try_emplace(*id, row.place); !first)
            fields.error(row.place,
                         fmt::format("an area {} is already given on {}", quoted(*id),
                                     reader.place_words(other->second, row.place)),
                         "give one of the two another id");
        reader.system.areas.push_back(std::move(area));
    });
}

}  // namespace

const TableReader readings_table{"readings", readings_keys, read_readings};
const TableReader seen_table{"seen", seen_keys, read_seen};
const TableReader areas_table{"areas", areas_keys, read_areas};

}  // namespace evenhead::io
