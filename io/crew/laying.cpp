// The sheets of what is laid: pipes in their trenches, and wire to the valves.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/crew/sheet_parts.hpp"
#include "model/position.hpp"
#include "solver/crew/wires.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;

std::string size_words(const CrewSubject& subject, const model::PipeSize& size) {
    if (!size.kind.empty() || !size.nominal.empty())
        return size.kind + (size.kind.empty() || size.nominal.empty() ? "" : " ") + size.nominal;
    if (!size.bore.known()) return "?";
    return subject.speaker.units.limit(size.bore.value, Dimension::bore) + " bore";
}

/// With which pipes each shares a trench, and over what length.
struct Sharing {
    std::vector<std::string> with;
    double length = 0;
};

std::vector<Sharing> sharing(const CrewSubject& subject) {
    const model::System& system = subject.speaker.system;
    std::vector<Sharing> all(system.pipes.size());
    for (const model::SharedTrench& trench : subject.takeoff.shared_trenches) {
        Sharing& of = all[at(trench.pipe)];
        const std::string with = system.pipe_id(trench.with);
        if (std::find(of.with.begin(), of.with.end(), with) == of.with.end()) of.with.push_back(with);
        of.length += trench.length;
    }
    return all;
}

std::string part_of(const CrewSubject& subject, Index pipe) {
    const model::System& system = subject.speaker.system;
    if (subject.layout.pipe_on_mainline[at(pipe)] != 0) return "mainline";
    std::vector<std::string> zones;
    for (const Index valve : subject.layout.zone_of_pipe[at(pipe)]) zones.push_back(part_name(system, valve));
    return zones.empty() ? "-" : joined(zones);
}

/// "62.0 4.5; 70.0 9.0": x and y of the places on its way.
std::string bends_of(const CrewSubject& subject, const model::Pipe& pipe) {
    std::string words;
    if (!pipe.bends) return words;
    const ShownUnits& units = subject.speaker.units;
    for (const auto& [x, y] : *pipe.bends)
        words += fmt::format("{}{} {}", words.empty() ? "" : "; ", units.number(x, Dimension::length),
                             units.number(y, Dimension::length));
    return words;
}

SheetTable pipe_table(const CrewSubject& subject, const model::PipeRoutes& routes) {
    const model::System& system = subject.speaker.system;
    SheetTable table{"pipes", "Pipes, as the case lists them", {}, {}};
    const auto place = [&](const std::string& key) {
        return detail(number_column(subject, key, key, Dimension::length));
    };
    table.columns = {text_column("pipe", "Pipe"),
                     roomy(text_column("from", "From")),
                     roomy(text_column("to", "To")),
                     place("from_x"),
                     place("from_y"),
                     place("to_x"),
                     place("to_y"),
                     roomy(text_column("bends", "By way of")),
                     roomy(text_column("part", "Part")),
                     text_column("size", "Size"),
                     number_column(subject, "length", "Length", Dimension::length),
                     detail(number_column(subject, "plan", "On the plan", Dimension::length)),
                     number_column(subject, "depth", "Deep", Dimension::bore),
                     number_column(subject, "cover", "Cover", Dimension::bore),
                     detail(number_column(subject, "shared", "Shared", Dimension::length)),
                     text_column("trench_of", "In the trench of")};
    const std::vector<Sharing> shared = sharing(subject);
    for (std::size_t i = 0; i < system.pipes.size(); ++i) {
        const model::Pipe& pipe = system.pipes[i];
        const model::PipeRoute& route = routes.routes[i];
        SheetRow row(subject, table);
        row.text(system.pipe_id(pipe)).text(system.point_id(pipe.from)).text(system.point_id(pipe.to));
        for (const Index end : {pipe.from, pipe.to})
            for (const model::OptionalQuantity* along :
                 {&system.points[at(end)].x, &system.points[at(end)].y})
                row.number(*along ? (*along)->value : std::nan(""), Dimension::length);
        row.text(bends_of(subject, pipe));
        row.text(part_of(subject, static_cast<Index>(i))).text(size_words(subject, *pipe.size));
        row.number(pipe.length.value, Dimension::length).number(route.plan, Dimension::length);
        row.plain(route.depth, Dimension::bore).plain(route.cover, Dimension::bore);
        row.number(shared[i].length, Dimension::length).text(joined(shared[i].with));
    }
    return table;
}

/// What is dug, by depth: where pipes share a trench, that of the deepest.
SheetTable trench_table(const CrewSubject& subject) {
    SheetTable table{"trenches", "Trenches", {}, {}};
    table.columns = {text_column("trench", "Trench of"),
                     number_column(subject, "depth", "Deep", Dimension::bore),
                     number_column(subject, "length", "Length", Dimension::length)};
    for (const model::TakeoffLine& line : subject.takeoff.lines) {
        const bool main = line.item == model::TakeoffItem::mainline_trench;
        if (!main && line.item != model::TakeoffItem::lateral_trench) continue;
        SheetRow row(subject, table);
        row.text(main ? "mainline" : "laterals").plain(line.amount, Dimension::bore);
        row.number(line.quantity, Dimension::length);
    }
    return table;
}

/// "mainline of copper-k and pvc-sch40, laterals of pvc-cl200"; empty where no kind is known.
std::string kinds_laid(const CrewSubject& subject) {
    const model::System& system = subject.speaker.system;
    std::string words;
    for (const bool main : {true, false}) {
        std::vector<std::string> kinds;
        for (std::size_t i = 0; i < system.pipes.size(); ++i) {
            const std::string& kind = system.pipes[i].size->kind;
            const bool here = (subject.layout.pipe_on_mainline[i] != 0) == main;
            if (here && !kind.empty() && std::find(kinds.begin(), kinds.end(), kind) == kinds.end())
                kinds.push_back(kind);
        }
        if (kinds.empty()) continue;
        words += (words.empty() ? "" : ", ") + std::string(main ? "mainline of " : "laterals of ") +
                 fmt::format("{}", fmt::join(kinds, " and "));
    }
    return words;
}

/// What the trade does where nobody says otherwise; no source.
void say_practice(const CrewSubject& subject, CrewSheet& sheet) {
    const bool us = subject.speaker.system.units == model::UnitSystem::us;
    const std::string kinds = kinds_laid(subject);
    sheet.notes.push_back(
        (kinds.empty() ? "" : "here: " + kinds + "; ") +
        "common practice in a warm region: mainline of Schedule 40, laterals of Class 200 PVC; elsewhere "
        "others, by the local authority");
    sheet.notes.push_back(fmt::format(
        "common practice: trenches {} deep where hard freezes are rare, deeper where they are not; "
        "flat-bottomed, without stones; several pipes in one trench, laid over each other if need be",
        us ? "6 to 8 in" : "150 to 200 mm"));
    sheet.notes.emplace_back(
        "common practice: control wire beneath the mainline; heads on swing joints, above all beside drives "
        "and streets, their tops level with the ground");
}

SheetTable crossing_table(const CrewSubject& subject, const model::PipeRoutes& routes) {
    const model::System& system = subject.speaker.system;
    SheetTable table{"crossings", "Crossings: the less deep pipe lies over the deeper one", {}, {}};
    table.columns = {text_column("over", "Over"),
                     text_column("under", "Under"),
                     number_column(subject, "x", "x", Dimension::length),
                     number_column(subject, "y", "y", Dimension::length),
                     number_column(subject, "gap", "Ground between", Dimension::bore),
                     text_column("note", "")};
    for (const model::PipeCrossing& crossing : routes.crossings) {
        SheetRow row(subject, table);
        row.text(system.pipe_id(crossing.over)).text(system.pipe_id(crossing.under));
        row.number(crossing.place[0], Dimension::length).number(crossing.place[1], Dimension::length);
        row.plain(crossing.gap, Dimension::bore);
        row.text(crossing.touches       ? "one ends on the other: a joint?"
                 : crossing.gap < -1e-9 ? "dig one deeper"
                                        : "");
    }
    return table;
}

/// Its point, else the place that was asked for.
std::string controller_name(const CrewSubject& subject, Index controller) {
    const model::TakeoffController& of = subject.takeoff.controllers[at(controller)];
    if (of.point != model::none) return subject.speaker.system.point_id(of.point);
    const auto length = [&](double metres) {
        return subject.speaker.units.number(metres, Dimension::length);
    };
    return fmt::format("at {}, {}", length((*of.place)[0]), length((*of.place)[1]));
}

/// What the wires of a sheet are counted with.
std::vector<std::string> wire_notes(const CrewSubject& subject, const solver::WireSheet& wires) {
    const model::CrewTable& table = subject.table;
    const ShownUnits& units = subject.speaker.units;
    const std::vector<model::TakeoffController>& controllers = subject.takeoff.controllers;
    const model::System& system = subject.speaker.system;
    std::vector<std::string> notes;
    using How = model::TakeoffController::How;
    if (controllers.size() == 1 && controllers.front().how == How::supply)
        notes.push_back(
            fmt::format("the wires begin at supply {}, as no controller is given; --controller "
                        "places it, or a point called controller",
                        system.point_id(controllers.front().point)));
    const bool us = system.units == model::UnitSystem::us;
    const double per = us ? 304.8 : 1000;
    notes.push_back(
        fmt::format("{}: {:.4g} ohm in {} at {:.0f} degC, from the published resistance at 20 degC",
                    wires.gauge, wires.resistance * per, us ? "1,000 ft" : "1 km", table.ground_temperature));
    notes.push_back(
        fmt::format("controller {:.3g} V; a solenoid draws {:.3g} A while it pulls in, {:.3g} A while it "
                    "holds, and needs "
                    "{:.3g} V: common practice, --crew-table takes what the makers say",
                    table.controller, table.inrush, table.holding, table.least));
    notes.emplace_back(
        "volts at the valve: it pulls in last, the other valves of the run and every master valve hold; each "
        "valve in the run that leaves it the least");
    notes.push_back(fmt::format("a valve that opens alone may be {} of {} away",
                                units.text(wires.longest, Dimension::length), wires.gauge));
    notes.push_back(fmt::format("slack of {} at either end of each wire",
                                units.limit(subject.takeoff.wire_slack, Dimension::length)));
    return notes;
}

}  // namespace

CrewSheet pipes_sheet(const CrewSubject& subject) {
    const model::PipeRoutes routes =
        model::pipe_routes(subject.speaker.system, subject.layout, subject.rules);
    const ShownUnits& units = subject.speaker.units;
    const model::UnitSystem system = subject.speaker.system.units;
    CrewSheet sheet;
    sheet.title = "Pipes and trenches";
    const double shared = subject.takeoff.shared;
    sheet.answer.push_back(
        fmt::format("{} of pipe in {} of trench; {} the trench of another. {}.",
                    units.text(subject.takeoff.pipe, Dimension::length),
                    units.text(subject.takeoff.trench, Dimension::length),
                    shared > 0 ? units.text(shared, Dimension::length) + " lies in" : "none lies in",
                    routes.crossings.empty() ? "No crossing" : counted(routes.crossings.size(), "crossing")));
    sheet.tables = {pipe_table(subject, routes), trench_table(subject), crossing_table(subject, routes)};
    sheet.notes = {
        fmt::format("trenches {} deep for the mainline, {} for laterals; cover is what is left above the "
                    "pipe: usual, --takeoff-table takes yours",
                    units.limit(subject.rules.mainline_depth.in(system), Dimension::bore),
                    units.limit(subject.rules.lateral_depth.in(system), Dimension::bore)),
        fmt::format("pipes no more than {} apart that run the same way share a trench, each at its own depth",
                    units.limit(subject.rules.trench_width.in(system), Dimension::length))};
    say_practice(subject, sheet);
    if (subject.takeoff.pipes_without_place > 0)
        sheet.notes.push_back(
            fmt::format("{} without coordinates of both ends: a trench of its own each, and "
                        "nothing shows what it crosses",
                        counted(subject.takeoff.pipes_without_place, "pipe")));
    if (std::any_of(routes.routes.begin(), routes.routes.end(),
                    [](const model::PipeRoute& route) { return !route.outside_known; }))
        sheet.notes.emplace_back("where the outside diameter is not known the bore stands in for it");
    sheet.cautions = {std::string(dig_caution)};
    return sheet;
}

CrewSheet valves_sheet(const CrewSubject& subject) {
    const model::System& system = subject.speaker.system;
    const solver::WireSheet wires = solver::wire_drops(system, subject.takeoff, subject.table, subject.gauge);
    CrewSheet sheet;
    sheet.title = "Valves and wire";
    const bool several = subject.takeoff.controllers.size() > 1;
    SheetTable table{"wires",
                     several ? "One wire for each valve, and one common to all of a controller"
                             : "One wire for each valve, and one common to all",
                     {},
                     {}};
    table.columns = {text_column("valve", "Valve"),
                     text_column("controller", "Controller"),
                     number_column(subject, "length", "Length", Dimension::length),
                     bare_column("own_drop", "Own", "V"),
                     bare_column("common_drop", "Common", "V"),
                     bare_column("volts", "At valve", "V"),
                     text_column("enough", "OK"),
                     text_column("needs", "Needs"),
                     detail(text_column("gauge", "Laid")),
                     detail(text_column("run", "Run")),
                     blank_column("ohm", "Ohm")};
    std::size_t thin = 0;
    for (const solver::ValveWire& valve : wires.valves) {
        SheetRow row(subject, table);
        row.text(system.point_id(valve.point));
        row.text(several && valve.reached ? controller_name(subject, valve.controller) : "");
        const double unknown = std::nan("");
        row.number(valve.reached ? valve.length : unknown, Dimension::length);
        for (const double volts : {valve.own_drop, valve.common_drop, valve.volts})
            row.bare(valve.reached ? volts : unknown, 2);
        row.text(!valve.reached ? "no way" : valve.enough ? "yes" : "no");
        row.text(!valve.reached ? "" : valve.needs.empty() ? "none" : valve.needs);
        row.text(wires.gauge).text(valve.run == model::none ? "" : run_name(system, valve.run)).blank();
        thin += valve.reached && !valve.enough ? 1 : 0;
    }
    const ShownUnits& units = subject.speaker.units;
    if (wires.valves.empty()) {
        sheet.answer.emplace_back("No valve is wired.");
    } else {
        sheet.answer.push_back(fmt::format("{}, and {} of common wire, {}.",
                                           counted(wires.valves.size(), "valve wire"),
                                           units.text(wires.common, Dimension::length), wires.gauge));
        if (thin == 0)
            sheet.answer.emplace_back("Every valve is left enough to pull in.");
        else if (wires.needs.empty())
            sheet.answer.push_back(
                fmt::format("Too thin for {}, and no wire of the table is thick enough: open fewer valves at "
                            "once, or put the controller nearer.",
                            counted(thin, "valve")));
        else
            sheet.answer.push_back(fmt::format(
                "Too thin for {}: {} is left less than {:.3g} V. Lay {} for "
                "its own and the common wire.",
                counted(thin, "valve"), thin == 1 ? "it" : "each", subject.table.least, wires.needs));
        sheet.notes = wire_notes(subject, wires);
    }
    for (const model::TakeoffWire& wire : subject.takeoff.wires)
        if (wire.sensor)
            sheet.notes.push_back(fmt::format("flow sensor {}: a shielded cable of its own, {}",
                                              system.point_id(wire.point),
                                              units.text(wire.length, Dimension::length)));
    sheet.tables = {std::move(table)};
    sheet.cautions = {
        "Shut the power off before you touch the terminals of the controller; its side of the mains is for "
        "an "
        "electrician.",
        "Splices in the ground only in waterproof connectors, in a box.", std::string(dig_caution),
        std::string(code_caution)};
    return sheet;
}

}  // namespace evenhead::io
