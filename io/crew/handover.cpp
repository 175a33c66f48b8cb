// The sheets of the handover: flushing, commissioning, and the limits of the flow sensor.
#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "io/crew/sheet_parts.hpp"
#include "io/write/finding_list.hpp"
#include "model/position.hpp"
#include "solver/balance/result_writer.hpp"
#include "solver/crew/flushing.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::GaugePlace;
using Where = solver::GaugePlace::Where;

std::string where_word(GaugePlace::Where where) {
    switch (where) {
        case Where::supply:
            return "supply";
        case Where::inlet:
            return "inlet";
        case Where::outlet:
            return "outlet";
        case Where::riser:
            return "riser";
        case Where::nozzle:
            break;
    }
    return "nozzle";
}

std::string which_head(const GaugePlace& gauge) {
    std::string words;
    const auto add = [&](bool is, std::string_view word) {
        if (is) words += (words.empty() ? "" : ", ") + std::string(word);
    };
    add(gauge.first, "first");
    add(gauge.last, "last");
    add(gauge.critical, "critical");
    return words;
}

std::string device_name(const model::System& system, Index device) {
    return device == model::none ? "all supplies" : system.point_id(system.devices[at(device)].point);
}

/// The same places as a file of readings: with what was read in it, accept and diagnose take it.
SheetTable readings_form(const CrewSubject& subject) {
    const model::System& system = subject.speaker.system;
    SheetTable form{"readings", "Readings", {}, {}, true};
    form.columns = {text_column("run", ""),   text_column("at", ""),    blank_column("pressure", ""),
                    blank_column("flow", ""), text_column("gauge", ""), text_column("side", "")};
    for (const solver::MeteredFlow& flow : subject.measured->flows)
        if (flow.device != model::none)
            SheetRow(subject, form)
                .text(run_name(system, flow.run))
                .text(device_name(system, flow.device))
                .blank()
                .blank()
                .text("")
                .text("");
    for (const GaugePlace& gauge : subject.measured->gauges) {
        const bool side = gauge.where == Where::inlet || gauge.where == Where::outlet;
        SheetRow(subject, form)
            .text(run_name(system, gauge.run))
            .text(system.point_id(gauge.point))
            .blank()
            .blank()
            .text(gauge.where == Where::riser    ? "riser"
                  : gauge.where == Where::nozzle ? "pitot"
                                                 : "")
            .text(side ? where_word(gauge.where) : "");
    }
    return form;
}

/// m at the nozzle's design pressure; NaN where it has none.
double radius_of(const model::Nozzle& nozzle) {
    if (!nozzle.design && nozzle.rows.size() > 1) return std::nan("");
    return solver::throw_radius(nozzle, nozzle.design ? nozzle.design->value : nozzle.rows.front().at.value);
}

/// Heads that no water comes to.
std::vector<std::string> cut_off(const CrewSubject& subject) {
    const model::System& system = subject.speaker.system;
    std::vector<std::string> ids;
    for (const model::Head& head : system.heads)
        if (subject.layout.zone_of_point[at(head.point)].empty() &&
            subject.layout.point_on_mainline[at(head.point)] == 0 && head.valve == model::none)
            ids.push_back(system.point_id(head.point));
    return ids;
}

/// What goes into each head once its lateral is clean, in the order in which the ends were opened.
SheetTable settings_table(const CrewSubject& subject, const std::vector<solver::FlushStage>& stages) {
    const model::System& system = subject.speaker.system;
    SheetTable table{"settings", "Then head by head: filter, nozzle, arc, radius", {}, {}};
    table.columns = {text_column("head", "Head"),
                     roomy(text_column("zone", "Zone")),
                     text_column("nozzle", "Nozzle"),
                     bare_column("arc", "Arc", "deg"),
                     roomy(bare_column("facing", "Facing", "deg")),
                     number_column(subject, "radius", "Radius", Dimension::length),
                     blank_column("done", "Done")};
    std::vector<char> told(system.heads.size(), 0);
    const auto head = [&](Index index, const std::string& zone) {
        if (std::exchange(told[at(index)], 1) != 0) return;
        const model::Head& of = system.heads[at(index)];
        SheetRow row(subject, table);
        row.text(system.point_id(of.point)).text(zone);
        row.text(of.nozzle == model::none ? "?" : system.nozzles[at(of.nozzle)].id);
        for (const model::OptionalQuantity* angle : {&of.arc, &of.facing})
            row.bare(*angle ? (*angle)->value : std::nan(""), 0);
        row.number(of.nozzle == model::none ? std::nan("") : radius_of(system.nozzles[at(of.nozzle)]),
                   Dimension::length);
        row.blank();
    };
    for (const solver::FlushStage& stage : stages)
        for (const solver::FlushEnd& end : stage.ends) {
            const model::Point& point = system.points[at(end.point)];
            // The farthest valve of the mainline may be a head: that comes with its zone.
            if (point.kind == model::PointKind::head && !stage.at_valve)
                head(point.row, part_name(system, stage.valve));
        }
    for (std::size_t i = 0; i < system.heads.size(); ++i) head(static_cast<Index>(i), "-");
    return table;
}

std::vector<std::string> not_foretold(const CrewSubject& subject) {
    std::vector<std::string> notes;
    if (subject.measured->shut_failed)
        notes.emplace_back("with every valve shut: no solution, so nothing is foretold");
    for (const Index run : subject.measured->failed)
        notes.push_back(fmt::format("run {}: no solution, so nothing is foretold; evenhead check says why",
                                    run_name(subject.speaker.system, run)));
    return notes;
}

}  // namespace

CrewSheet flushing_sheet(const CrewSubject& subject) {
    const model::System& system = subject.speaker.system;
    CrewSheet sheet;
    sheet.title = "Flushing";
    sheet.answer = {
        "Before any nozzle goes in: the mainline first, then zone after zone from the supply outwards. In "
        "each, open the ends in this order, the farthest last, and let each run until the water is clear.",
        "Only then, head by head: filter, nozzle, arc and radius."};
    SheetTable table{"flushing", "Ends in the order in which they are opened", {}, {}};
    table.columns = {
        bare_column("step", "Step"), text_column("part", "Part"),
        text_column("open", "Open"), number_column(subject, "distance", "Along pipe", Dimension::length),
        text_column("note", ""),     blank_column("clear", "Clear")};
    int step = 0;
    const std::vector<solver::FlushStage> stages = solver::flushing_order(system, subject.layout);
    for (const solver::FlushStage& stage : stages)
        for (const solver::FlushEnd& end : stage.ends) {
            SheetRow row(subject, table);
            row.bare(++step, 0).text(part_name(system, stage.valve)).text(system.point_id(end.point));
            row.number(std::isfinite(end.distance) ? end.distance : std::nan(""), Dimension::length);
            const bool head = system.points[at(end.point)].kind == model::PointKind::head;
            row.text(stage.at_valve ? "the farthest valve" : head ? "" : "end of the pipe").blank();
        }
    const bool us = system.units == model::UnitSystem::us;
    sheet.tables = {std::move(table), settings_table(subject, stages)};
    sheet.notes = {
        "common practice; distances along the pipes from the supply, in a zone from its valve",
        "radius: of the nozzle at its design pressure; head to head: turn it to where the water reaches the "
        "next head",
        fmt::format(
            "common practice: pop-ups of {} in lawn, of {} over planted beds; beds and lawn on valves "
            "of their own; each head on a swing joint, above all beside drives and streets, its top "
            "level with the ground",
            us ? "4 in" : "100 mm", us ? "12 in" : "300 mm")};
    if (const auto ids = cut_off(subject); !ids.empty())
        sheet.notes.push_back(fmt::format(
            "no water comes to {}: nothing to flush there; evenhead check says more", id_list(ids, 20)));
    sheet.cautions = {
        std::string(pressure_caution),
        "Water jets from open ends: keep them pointed away from people, windows and the street, "
        "and the ground from washing out."};
    return sheet;
}

CrewSheet commissioning_sheet(const CrewSubject& subject) {
    const model::System& system = subject.speaker.system;
    const solver::Commissioning& measured = *subject.measured;
    CrewSheet sheet;
    sheet.title = "Commissioning";
    SheetTable flows{"meters", "Flow, run by run (none: every valve shut)", {}, {}};
    flows.columns = {text_column("run", "Run"), text_column("at", "At"),
                     number_column(subject, "predicted", "Predicted", Dimension::flow),
                     blank_column("measured", "Measured")};
    for (const solver::MeteredFlow& flow : measured.flows) {
        SheetRow row(subject, flows);
        row.text(run_name(system, flow.run)).text(device_name(system, flow.device));
        row.number(flow.flow, Dimension::flow).blank();
    }
    SheetTable gauges{
        "gauges", "Pressure before and at the valves, run by run (none: every valve shut)", {}, {}};
    SheetTable heads{"heads", "Pressure at heads, run by run", {}, {}};
    gauges.columns = {text_column("run", "Run"), text_column("at", "At"), text_column("side", "Side"),
                      number_column(subject, "predicted", "Predicted", Dimension::pressure),
                      blank_column("measured", "Measured")};
    heads.columns = {text_column("run", "Run"),
                     detail(text_column("zone", "Zone")),
                     text_column("at", "Head"),
                     text_column("which", "Which"),
                     text_column("gauge", "Gauge"),
                     number_column(subject, "predicted", "Predicted", Dimension::pressure),
                     blank_column("measured", "Measured")};
    for (const GaugePlace& gauge : measured.gauges) {
        const bool head = gauge.where == Where::riser || gauge.where == Where::nozzle;
        SheetRow row(subject, head ? heads : gauges);
        row.text(run_name(system, gauge.run));
        if (head) row.text(part_name(system, gauge.valve));
        row.text(system.point_id(gauge.point));
        if (head) row.text(which_head(gauge));
        row.text(where_word(gauge.where)).number(gauge.pressure, Dimension::pressure).blank();
    }
    sheet.answer = {fmt::format(
        "{} and {} foretold. Fill in what you read; --table readings is the same as a form in CSV, and with "
        "it evenhead accept says whether it was built as drawn.",
        counted(gauges.rows.size() + heads.rows.size(), "pressure"), counted(flows.rows.size(), "flow"))};
    sheet.tables = {std::move(flows), std::move(gauges), std::move(heads), readings_form(subject)};
    sheet.notes = {
        "riser: a gauge in the lateral, below the head; nozzle: a pitot tube in the jet, after swing joint, "
        "body and regulation",
        "first and last: along the pipes from the valve; critical: the least above what it needs",
        "read pressures with the run on for some minutes, and with every valve shut first"};
    const ShownUnits of_case = ShownUnits::of_case(system.units);
    std::string others;
    for (const Dimension dimension : {Dimension::pressure, Dimension::flow})
        if (of_case.word(dimension) != subject.speaker.units.word(dimension))
            others += fmt::format("{}{}", others.empty() ? "" : " and ", of_case.word(dimension));
    if (!others.empty())
        sheet.notes.push_back(
            fmt::format("in the form, numbers without a unit are {}: write the unit behind "
                        "those that you read in others",
                        others));
    for (std::string& note : not_foretold(subject)) sheet.notes.push_back(std::move(note));
    sheet.cautions = {std::string(pressure_caution), std::string(code_caution)};
    return sheet;
}

CrewSheet flow_limits_sheet(const CrewSubject& subject) {
    const model::System& system = subject.speaker.system;
    const ShownUnits& units = subject.speaker.units;
    const solver::FlowLimits limits = solver::flow_limits(*subject.measured, subject.table);
    CrewSheet sheet;
    sheet.title = "Flow-sensor limits";
    SheetTable table{"flow-limits", "Flow foretold, and where an alarm is due", {}, {}};
    table.columns = {text_column("run", "Run"),
                     text_column("at", "At"),
                     number_column(subject, "expected", "Expected", Dimension::flow),
                     number_column(subject, "low", "Low", Dimension::flow),
                     number_column(subject, "high", "High", Dimension::flow),
                     bare_column("smallest_head", "Least head", "%"),
                     text_column("tells_a_head", "Told"),
                     blank_column("learned", "Learned")};
    for (const solver::FlowLimit& limit : limits.runs) {
        SheetRow row(subject, table);
        row.text(run_name(system, limit.expected.run)).text(device_name(system, limit.expected.device));
        for (const double flow : {limit.expected.flow, limit.low, limit.high})
            row.number(flow, Dimension::flow);
        row.bare(100 * limit.expected.smallest_head, 0).text(limit.tells_a_head ? "yes" : "no").blank();
    }
    sheet.tables = {std::move(table)};
    if (!std::isnan(limits.leak))
        sheet.answer.push_back(fmt::format(
            "With every valve shut, more than {} is a leak of the mainline{}.",
            units.text(limits.leak, Dimension::flow),
            limits.standing > 0
                ? fmt::format(" ({} flows there by the case)", units.text(limits.standing, Dimension::flow))
                : ""));
    const auto share = [](const model::FlowShare& of) { return fmt::format("{:.3g} %", 100 * of.share); };
    const model::CrewTable& shares = subject.table;
    sheet.notes = {
        fmt::format("low: {} of what is expected; {}", share(shares.low), shares.low.reason),
        fmt::format("high: {} of what is expected; {}", share(shares.high), shares.high.reason),
        fmt::format("leak: {} of the smallest run; {}", share(shares.leak), shares.leak.reason),
        "least head: what the smallest head of the run passes, of the whole; told: its loss alone takes the "
        "flow below the low limit",
        "--crew-table takes other shares; where the sensor has learned the flow, limits from that are "
        "better"};
    for (std::string& note : not_foretold(subject)) sheet.notes.push_back(std::move(note));
    sheet.cautions = {
        "A limit that shuts the master valve is no protection against flooding by itself: test "
        "it by opening a head."};
    return sheet;
}

}  // namespace evenhead::io
