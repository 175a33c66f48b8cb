// The sheets of the water that stands in the pipes: heads that drain at shut-off, and winter.
#include <fmt/format.h>

#include <cmath>
#include <set>

#include "io/crew/sheet_parts.hpp"
#include "model/position.hpp"
#include "solver/crew/drainage.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;

std::string head_ids(const model::System& system, const std::vector<Index>& heads) {
    std::vector<std::string> ids;
    ids.reserve(heads.size());
    for (const Index head : heads) ids.push_back(system.point_id(system.heads[at(head)].point));
    return joined(ids);
}

std::string point_ids(const model::System& system, const std::vector<Index>& points) {
    std::vector<std::string> ids;
    ids.reserve(points.size());
    for (const Index point : points) ids.push_back(system.point_id(point));
    return joined(ids);
}

std::string unknown_note(std::size_t pipes) {
    return fmt::format("{} whose bore or length is not known: not in the volumes", counted(pipes, "pipe"));
}

/// "the elevations are assumed"
void say_elevations(const CrewSubject& subject, CrewSheet& sheet) {
    if (!subject.layout.assumptions.empty())
        sheet.notes.push_back(fmt::format("{} of these elevations {} assumed, not given: level those first",
                                          subject.layout.assumptions.size(),
                                          subject.layout.assumptions.size() == 1 ? "is" : "are"));
}

}  // namespace

CrewSheet drainage_sheet(const CrewSubject& subject) {
    const model::System& system = subject.speaker.system;
    const solver::Drainage found = solver::drainage(system, subject.layout);
    CrewSheet sheet;
    sheet.title = "Heads that drain at shut-off";
    SheetTable table{"drainage", "What runs out each time the valve shuts, by zone", {}, {}};
    table.columns = {text_column("zone", "Zone"),
                     bare_column("volume", "Runs out", std::string(volume_word(system))),
                     number_column(subject, "column", "Column", Dimension::length),
                     detail(number_column(subject, "level", "Down to", Dimension::length)),
                     text_column("heads", "Out of the heads"),
                     text_column("held", "")};
    double volume = 0;
    std::set<Index> zones;
    for (const solver::DrainingPart& part : found.parts) {
        SheetRow row(subject, table);
        row.text(part_name(system, part.valve)).volume(part.volume).number(part.column, Dimension::length);
        row.number(part.level, Dimension::length).text(head_ids(system, part.heads));
        row.text(part.held ? "first through a check valve" : "");
        volume += part.volume;
        zones.insert(part.valve);
    }
    if (found.parts.empty())
        sheet.answer.emplace_back("No zone has pipe above its lowest head: nothing drains.");
    else
        sheet.answer = {fmt::format("{} runs out of {} when each zone shuts once.",
                                    volume_text(system, volume), counted(zones.size(), "zone")),
                        "Mend: check valves in the heads named, each to hold the column of water above it."};
    sheet.tables = {std::move(table)};
    sheet.notes = {
        "the pipe of the zone that lies above its lowest head, by bore and length; pipes rise straight from "
        "end to end, and what one-way devices part is taken apart",
        "no head is taken to have a check valve, unless a device of type check stands before it",
        "what lies level with the lowest head stays in; bodies, risers and swing joints are not counted"};
    if (!found.unknown.empty()) sheet.notes.push_back(unknown_note(found.unknown.size()));
    say_elevations(subject, sheet);
    sheet.cautions = {std::string(pressure_caution)};
    return sheet;
}

CrewSheet winter_sheet(const CrewSubject& subject) {
    const model::System& system = subject.speaker.system;
    const std::vector<solver::WinterPart> parts = solver::winter_order(system, subject.layout);
    CrewSheet sheet;
    sheet.title = "Before frost";
    SheetTable table{"winter", "In the order in which they are blown out: zones, then the mainline", {}, {}};
    table.columns = {bare_column("step", "Step"),
                     text_column("part", "Part"),
                     number_column(subject, "length", "Pipe", Dimension::length),
                     bare_column("volume", "Holds", std::string(volume_word(system))),
                     number_column(subject, "highest", "Highest", Dimension::length),
                     detail(number_column(subject, "farthest", "Farthest", Dimension::length)),
                     number_column(subject, "air", "Air to", Dimension::pressure),
                     text_column("lowest", "Low places"),
                     blank_column("done", "Done")};
    double volume = 0;
    std::size_t unknown = 0;
    int step = 0;
    for (const solver::WinterPart& part : parts) {
        SheetRow row(subject, table);
        row.bare(++step, 0).text(part_name(system, part.valve)).number(part.length, Dimension::length);
        row.volume(part.volume).number(part.highest, Dimension::length);
        row.number(part.farthest, Dimension::length);
        row.plain(subject.table.air_limit(part.weakest), Dimension::pressure);
        row.text(point_ids(system, part.lowest)).blank();
        volume += part.volume;
        unknown += part.unknown;
    }
    sheet.tables = {std::move(table)};
    sheet.answer = {
        fmt::format(
            "{} in all. Shut the supply, relieve the pressure, and open the drains at the low places.",
            volume_text(system, volume)),
        "Then air in behind the backflow preventer, one zone open at a time: the highest zone first, of "
        "equally high ones the farthest, twice for a short time rather than once for long; the mainline's "
        "ends last. The backflow preventer is drained by hand."};
    sheet.notes = {"volumes by bore and length of the pipes alone",
                   fmt::format("air to: the most that pipe of the part should see; {}, no rating for air",
                               subject.table.air_basis),
                   "low places: from where every pipe goes up; none where a part is level"};
    if (unknown > 0) sheet.notes.push_back(unknown_note(unknown));
    say_elevations(subject, sheet);
    sheet.cautions = {
        "Compressed air stores energy and throws parts: eye protection, nobody above a head or fitting, a "
        "regulator on the compressor, never its full pressure.",
        "Never blow air through the backflow preventer, a pump or a meter; never leave a compressor running "
        "with every valve shut.",
        std::string(pressure_caution), std::string(code_caution)};
    return sheet;
}

}  // namespace evenhead::io
