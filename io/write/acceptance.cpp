#include "io/write/acceptance.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "io/write/chance.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/diagnosis_tables.hpp"
#include "io/write/fault_words.hpp"
#include "io/write/json_writer.hpp"
#include "io/write/row_sinks.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::none;
using solver::AcceptedReading;

Dimension dimension_of(const AcceptedReading& reading) {
    return reading.gauge.flow ? Dimension::flow : Dimension::pressure;
}

std::string run_id(const model::System& system, model::Index run) {
    return run == none ? "none" : system.runs[at(run)].id;
}

/// How far beyond what is allowed, as a share of it.
double excess(const AcceptedReading& reading) {
    return std::abs(reading.difference) / reading.allowed;
}

class AcceptanceText {
  public:
    AcceptanceText(Output& output, const AcceptanceSubject& subject, const Page& page)
        : output_(output),
          subject_(subject),
          acceptance_(subject.acceptance),
          page_(page),
          speaker_{subject.system, ShownUnits::of_text(subject.system)} {}

    void write() {
        verdict();
        output_.write(paragraph(farthest_words(speaker_, acceptance_), page_.columns()));
        next();
        table(false);
        table(true);
        what_is_allowed();
        unused();
        output_.write("\n" + cautions(page_));
    }

  private:
    void verdict() {
        std::string text = paragraph(acceptance_verdict(acceptance_), page_.columns());
        text.pop_back();
        output_.write(coloured(text, acceptance_.accepted() ? Colour::good : Colour::bad, page_) + "\n");
    }

    void next() {
        if (acceptance_.accepted()) return;
        std::string command = "evenhead diagnose " + shell_word(subject_.case_path);
        if (!subject_.readings_path.empty()) command += " " + shell_word(subject_.readings_path);
        output_.write(fmt::format("Next: {}\n", command));
    }

    void table(bool flow) {
        const Dimension dimension = flow ? Dimension::flow : Dimension::pressure;
        const std::string unit(speaker_.units.word(dimension));
        TextTable table({{flow ? "Flow at" : "Pressure at", "", 12},
                         {"Run", "", 6, true},
                         {"Predicted", unit},
                         {"Measured", unit},
                         {"Off by", unit, 6},
                         {"Allowed", unit},
                         {"", "", 0, true}});
        for (const AcceptedReading& reading : acceptance_.readings) {
            if (reading.gauge.flow != flow) continue;
            const auto number = [&](double si) { return speaker_.units.number(si, dimension); };
            table.add({gauge_label(speaker_.system, reading.gauge),
                       reading.run == none ? "all shut" : run_id(speaker_.system, reading.run),
                       number(reading.predicted), number(reading.gauge.measured),
                       off_words(speaker_.units, reading), number(reading.allowed),
                       reading.accepted ? "" : "no"});
        }
        if (table.size() > 0) output_.write("\n" + table.text(page_));
    }

    void what_is_allowed() {
        output_.write("\n" + paragraph(allowed_words(acceptance_), page_.columns()));
        if (acceptance_.usual_spreads == 0) return;
        for (const std::string& line : spread_lines(speaker_.units, subject_.spreads))
            output_.write(paragraph(line, page_.columns(), "- "));
    }

    void unused() {
        const std::string text = unused_words(speaker_, acceptance_);
        if (!text.empty()) output_.write(paragraph(text, page_.columns()));
    }

    Output& output_;
    const AcceptanceSubject& subject_;
    const solver::Acceptance& acceptance_;
    const Page page_;
    Speaker speaker_;
};

/// The keys of one reading, the same in JSON and CSV.
void reading_row(RowSink& row, const model::System& system, const ShownUnits& units,
                 const AcceptedReading& reading, bool empty_cells) {
    const model::Point& point = system.points[at(reading.gauge.point)];
    const bool sides = point.kind == model::PointKind::device || point.kind == model::PointKind::valve;
    const Dimension dimension = dimension_of(reading);
    const auto number = [&](std::string_view key, double si) {
        row.number(key, units.in_unit(si, dimension));
    };
    row.text("run", run_id(system, reading.run));
    row.text("at", point.id);
    row.text("kind", reading.gauge.flow ? "flow" : "pressure");
    if (!reading.gauge.flow && sides)
        row.text("side", reading.gauge.side == model::Side::inlet ? "inlet" : "outlet");
    else if (empty_cells)
        row.text("side", "");
    if (!reading.gauge.flow && point.kind == model::PointKind::head)
        row.text("gauge", reading.gauge.way == model::Gauge::riser ? "riser" : "pitot");
    else if (empty_cells)
        row.text("gauge", "");
    number("predicted", reading.predicted);
    number("measured", reading.gauge.measured);
    number("difference", reading.difference);
    number("allowed", reading.allowed);
    number("sd_reading", reading.gauge.deviation);
    number("sd_model", reading.model_deviation);
    row.text("unit", units.word(dimension));
    row.boolean("accepted", reading.accepted);
}

}  // namespace

std::string acceptance_verdict(const solver::Acceptance& acceptance) {
    const std::string all = counted(acceptance.readings.size(), "reading");
    return acceptance.accepted()
               ? fmt::format("Accepted: {} within what is allowed.", all)
               : fmt::format("Not accepted: {} of {} outside what is allowed.", acceptance.rejected(), all);
}

std::string farthest_words(const Speaker& speaker, const solver::Acceptance& acceptance) {
    const auto worst =
        std::max_element(acceptance.readings.begin(), acceptance.readings.end(),
                         [](const auto& one, const auto& other) { return excess(one) < excess(other); });
    const Dimension dimension = dimension_of(*worst);
    const auto text = [&](double si) { return speaker.units.text(si, dimension); };
    return fmt::format("Farthest off: {} {}: {} measured, {} predicted; {} apart, {} allowed.",
                       gauge_place(speaker, worst->gauge), situation_words(speaker.system, {worst->run, {}}),
                       text(worst->gauge.measured), text(worst->predicted),
                       speaker.units.beside(std::abs(worst->difference), worst->allowed, dimension),
                       text(worst->allowed));
}

std::string off_words(const ShownUnits& units, const AcceptedReading& reading) {
    const std::string off = units.number(reading.difference, dimension_of(reading));
    const bool more = reading.difference > 0 && off.find_first_of("123456789") != std::string::npos;
    return more ? "+" + off : off;
}

std::string unused_words(const Speaker& speaker, const solver::Acceptance& acceptance) {
    std::string list;
    for (const model::Index i : acceptance.unused) {
        const model::Reading& reading = speaker.system.readings[at(i)];
        list += fmt::format("{}{} ({})", list.empty() ? "" : ", ", speaker.system.point_id(reading.point),
                            reading.all_shut ? "all shut" : run_id(speaker.system, reading.run));
    }
    if (list.empty()) return "";
    return "Not judged, as what stands in a pipe that is shut off is not known: " + list + ".";
}

std::string allowed_words(const solver::Acceptance& acceptance) {
    std::string text =
        "Allowed: two standard deviations of the reading and of what is predicted there, together. ";
    const std::size_t given = acceptance.given_spreads, usual = acceptance.usual_spreads;
    if (given + usual == 0) return text + "Nothing of the case has a spread, so it is taken for exact.";
    text += fmt::format("What is predicted strays with {}; ", counted(given + usual, "input"));
    text += given == 0 ? "the case gives none of them a spread (\"62 +- 4 psi\")"
                       : fmt::format("the case gives {} of them a spread (\"62 +- 4 psi\")", given);
    if (usual == 0) return text + ".";
    return text + (given == 0 ? "; " : "; of the others ") +
           "these were taken, nineteen times in twenty within (--spreads takes another table):";
}

void write_acceptance_text(Output& output, const AcceptanceSubject& subject, const Page& page) {
    AcceptanceText(output, subject, page).write();
}

void write_acceptance_json(Output& output, const AcceptanceSubject& subject) {
    const ShownUnits units = ShownUnits::of_case(subject.system.units);
    JsonWriter json(output);
    JsonRow row(json);
    json.begin_object().key("schema").whole(1);
    json.text("case", case_title(subject.system, subject.case_path));
    json.key("units").begin_object();
    json.text("pressure", units.word(Dimension::pressure)).text("flow", units.word(Dimension::flow));
    json.end_object().key("ok").boolean(subject.acceptance.accepted());
    json.line().key("acceptance").begin_array();
    for (const AcceptedReading& reading : subject.acceptance.readings) {
        json.line().begin_object();
        reading_row(row, subject.system, units, reading, false);
        json.end_object();
    }
    json.end_array().line();
    const auto given = static_cast<long long>(subject.acceptance.given_spreads),
               usual = static_cast<long long>(subject.acceptance.usual_spreads);
    json.key("uncertain_inputs").whole(given + usual);
    json.key("given_spreads").whole(given);
    spreads_json(json, units, subject.spreads);
    json.line().key("unused").begin_array();
    for (const model::Index i : subject.acceptance.unused) {
        const model::Reading& reading = subject.system.readings[at(i)];
        json.begin_object().text("run", run_id(subject.system, reading.all_shut ? none : reading.run));
        json.text("at", subject.system.point_id(reading.point));
        json.text("kind", reading.flow ? "flow" : "pressure").end_object();
    }
    json.end_array().end_object();
    output.write("\n");
}

void write_acceptance_csv(Output& output, const AcceptanceSubject& subject) {
    const ShownUnits units = ShownUnits::of_case(subject.system.units);
    output.write(
        "run,at,kind,side,gauge,predicted,measured,difference,allowed,sd_reading,sd_model,unit,accepted\n");
    CsvRow row(output);
    for (const AcceptedReading& reading : subject.acceptance.readings) {
        reading_row(row, subject.system, units, reading, true);
        row.end();
    }
}

}  // namespace evenhead::io
