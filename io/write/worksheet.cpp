#include "io/write/worksheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/write/check_answer.hpp"
#include "io/write/row_sinks.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;

std::string sign_of(double change, std::string text) {
    return change > 0 && text.front() != '-' ? "+" + text : text;
}

}  // namespace

std::string worksheet_label(const Speaker& speaker, const solver::WorksheetLine& line,
                            const solver::WorksheetLine* before) {
    std::string id = element_id(speaker.system, line.subject);
    const bool under = before != nullptr && element_id(speaker.system, before->subject) == id;
    if (line.item == "swing-joint") return "swing joint";
    if (line.item == "static") return "static at " + id;
    if (line.item == "pipe") return id;
    for (const char* item : {"fittings", "elevation", "regulation"})
        if (line.item == item) return under ? fmt::format("  {}", item) : fmt::format("{}, {}", item, id);
    std::string name = element_name(speaker.system, line.subject);
    return name.starts_with("the ") ? name.substr(4) : name;
}

void write_worksheet_text(Output& output, const Speaker& speaker, const solver::Worksheet& worksheet,
                          const std::vector<std::string>& notes, const Page& page) {
    const ShownUnits& units = speaker.units;
    const auto word = [&](Dimension dimension) { return std::string(units.word(dimension)); };
    const std::string head = element_id(speaker.system, {ElementKind::head, worksheet.head});
    const std::string run = element_id(speaker.system, {ElementKind::run, worksheet.run});

    std::string result =
        fmt::format("head {} in run {}: {}", head, run, units.text(worksheet.pressure, Dimension::pressure));
    Colour colour = Colour::doubtful;
    if (std::isnan(worksheet.wanted)) {
        result += ", no wanted pressure given";
    } else {
        const bool enough = worksheet.margin >= 0;
        colour = enough ? Colour::good : Colour::bad;
        result = fmt::format("{}: head {} in run {} gets {}, needs {} (margin {})",
                             enough ? "Enough pressure" : "Too little pressure", head, run,
                             units.beside(worksheet.pressure, worksheet.wanted, Dimension::pressure),
                             units.limit(worksheet.wanted, Dimension::pressure),
                             units.text(worksheet.margin, Dimension::pressure));
    }
    std::string first = paragraph(sentence_case(result) + ".", page.columns());
    first.pop_back();
    output.write(coloured(first, colour, page) + "\n");
    for (const std::string& note : notes) output.write(paragraph(note, page.columns()));
    output.write("\n");

    const int wide = page.wide ? 9 : 0;
    const auto width = [&](int narrow) { return std::max(narrow, wide); };
    TextTable table({{"On the way", "", 14},
                     {"Flow", word(Dimension::flow), width(5)},
                     {"Bore", word(Dimension::bore), width(5)},
                     {"Length", word(Dimension::length), width(6)},
                     {"Velocity", word(Dimension::velocity), width(8)},
                     {"Change", word(Dimension::pressure), width(6)},
                     {"Pressure", word(Dimension::pressure), width(8)}});
    const auto cell = [&](double si, Dimension dimension, int more = 0) {
        return std::isnan(si) ? std::string() : units.number(si, dimension, more);
    };
    const solver::WorksheetLine* before = nullptr;
    for (const auto& line : worksheet.lines) {
        table.add({worksheet_label(speaker, line, before), cell(line.flow, Dimension::flow),
                   cell(line.bore, Dimension::bore), cell(line.length, Dimension::length),
                   cell(line.velocity, Dimension::velocity),
                   sign_of(line.change, cell(line.change, Dimension::pressure, 1)),
                   cell(line.pressure, Dimension::pressure, 1)});
        before = &line;
    }
    // A worksheet is a sum: a line left out would make it wrong, so all are printed.
    Page every = page;
    every.all = true;
    output.write(table.text(every));
    output.write(fmt::format("\nPressure at the nozzle of {}: {}\n", head,
                             units.text(worksheet.pressure, Dimension::pressure, 1)));
    if (!std::isnan(worksheet.wanted))
        output.write(fmt::format("Pressure wanted: {}\nMargin: {}\n",
                                 units.text(worksheet.wanted, Dimension::pressure, 1),
                                 units.text(worksheet.margin, Dimension::pressure, 1)));
    output.write("\n" + cautions(page));
}

void write_worksheet_json(Output& output, const Speaker& speaker, const solver::Worksheet& worksheet) {
    JsonWriter json(output);
    JsonRow row(json);
    const auto pressure = [&](double si) { return speaker.units.in_unit(si, Dimension::pressure); };
    json.begin_object();
    json.text("run", element_id(speaker.system, {ElementKind::run, worksheet.run}));
    json.text("head", element_id(speaker.system, {ElementKind::head, worksheet.head}));
    json.line().key("lines").begin_array();
    for (const auto& line : worksheet.lines) {
        json.line().begin_object();
        worksheet_row(row, speaker, line);
        json.end_object();
    }
    json.end_array().line();
    json.number("pressure", pressure(worksheet.pressure)).number("wanted", pressure(worksheet.wanted));
    json.number("margin", pressure(worksheet.margin)).end_object();
    output.write("\n");
}

void write_worksheet_csv(Output& output, const Speaker& speaker, const solver::Worksheet& worksheet) {
    CsvRow row(output);
    output.write("run,head,item,subject,flow,bore,length,velocity,change,pressure\n");
    for (const auto& line : worksheet.lines) {
        row.text("run", element_id(speaker.system, {ElementKind::run, worksheet.run}));
        row.text("head", element_id(speaker.system, {ElementKind::head, worksheet.head}));
        worksheet_row(row, speaker, line);
        row.end();
    }
}

}  // namespace evenhead::io
