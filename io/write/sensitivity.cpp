#include "io/write/sensitivity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::Derivative;
using solver::ElementKind;
using solver::InputName;
using Table = solver::InputSubject::Table;

constexpr std::size_t that_matter = 10;

std::string_view input_words(const Derivative& of) {
    static constexpr std::array<std::string_view, 14> words{
        "static", "residual", "bore", "C",       "roughness",       "length",    "elevation",
        "cv",     "kv",       "k",    "flow of", "set pressure of", "losses of", "pump curve of"};
    return words[static_cast<std::size_t>(of.input)];
}

/// psi per unit of the input; a pure number and a factor have none.
std::string derivative_unit(const ShownUnits& units, Dimension dimension) {
    const std::string pressure(units.word(Dimension::pressure)), input(units.word(dimension));
    return input.empty() ? pressure : pressure + "/" + input;
}

}  // namespace

std::string_view input_table(const solver::InputSubject& subject) {
    static constexpr std::array<std::string_view, 7> words{"supply", "pipe",   "device", "valve",
                                                           "head",   "nozzle", "point"};
    return words[static_cast<std::size_t>(subject.table)];
}

std::string input_id(const model::System& system, const solver::InputSubject& subject) {
    switch (subject.table) {
        case Table::supply:
            return element_id(system, {ElementKind::supply, subject.row});
        case Table::pipe:
            return element_id(system, {ElementKind::pipe, subject.row});
        case Table::device:
            return element_id(system, {ElementKind::device, subject.row});
        case Table::valve:
            return element_id(system, {ElementKind::valve, subject.row});
        case Table::head:
            return element_id(system, {ElementKind::head, subject.row});
        case Table::nozzle:
            return system.nozzles[at(subject.row)].id;
        case Table::point:
            return system.point_id(subject.row);
    }
    return "";
}

SensitivityLine sensitivity_line(const Speaker& speaker, const Derivative& of) {
    const ShownUnits& units = speaker.units;
    SensitivityLine line;
    line.input = fmt::format("{}, {} {}", input_words(of), input_table(of.subject),
                             input_id(speaker.system, of.subject));
    if (of.input == InputName::nozzle_flow || of.input == InputName::set || of.input == InputName::loss ||
        of.input == InputName::rise)
        line.input = fmt::format("{} {} {}", input_words(of), input_table(of.subject),
                                 input_id(speaker.system, of.subject));
    line.now = of.factor ? "" : units.limit(of.now, of.dimension);
    const bool by_amount = of.dimension == Dimension::pressure || of.input == InputName::length ||
                           of.input == InputName::elevation || of.input == InputName::c;
    if (!of.size.empty())
        line.step = "to " + of.size;
    else if (by_amount)
        line.step = "+" + units.limit(of.step, of.dimension);
    else
        line.step = "+10 %";
    line.gain = (of.gain > 0 ? "+" : "") + units.number(of.gain, Dimension::pressure, 1);
    return line;
}

std::string sensitivity_text(const Speaker& speaker, const solver::HeadSensitivity& of, const Page& page) {
    std::string text =
        paragraph(fmt::format("Head {} in run {} ({}): what a step of each input gains, to first order",
                              element_id(speaker.system, {ElementKind::head, of.head}),
                              element_id(speaker.system, {ElementKind::run, of.run}),
                              speaker.units.text(of.pressure, Dimension::pressure)),
                  page.columns());
    if (of.derivatives.empty())
        return text + paragraph("Nothing determines it: still water stands in a ring that loses nothing.",
                                page.columns());
    TextTable table({{"Input", "", 14},
                     {"Now", "", 8},
                     {"Step", "", 8},
                     {"Gain", std::string(speaker.units.word(Dimension::pressure)), 6}});
    const std::size_t shown = page.all ? of.derivatives.size() : std::min(of.derivatives.size(), that_matter);
    for (std::size_t i = 0; i < shown; ++i) {
        SensitivityLine line = sensitivity_line(speaker, of.derivatives[i]);
        table.add({std::move(line.input), std::move(line.now), std::move(line.step), std::move(line.gain)});
    }
    Page every = page;
    every.all = true;
    return text + table.text(every) + and_more(of.derivatives.size(), shown);
}

void sensitivity_json(JsonWriter& json, const Speaker& speaker,
                      const std::vector<solver::HeadSensitivity>& all) {
    const ShownUnits& units = speaker.units;
    json.line().key("sensitivity").begin_array();
    for (const solver::HeadSensitivity& head : all)
        for (const Derivative& of : head.derivatives) {
            json.line().begin_object();
            json.text("run", element_id(speaker.system, {ElementKind::run, head.run}));
            json.text("head", element_id(speaker.system, {ElementKind::head, head.head}));
            json.text("input", solver::input_name(of.input))
                .text("subject", input_id(speaker.system, of.subject));
            json.text("table", input_table(of.subject)).key("factor").boolean(of.factor);
            json.number("derivative",
                        units.in_unit(of.value, Dimension::pressure) / units.in_unit(1, of.dimension));
            json.text("unit", derivative_unit(units, of.dimension));
            json.number("now", units.in_unit(of.now, of.dimension));
            json.number("step", units.in_unit(of.step, of.dimension)).text("to_size", of.size);
            json.number("gain", units.in_unit(of.gain, Dimension::pressure)).end_object();
        }
    json.end_array();
}

}  // namespace evenhead::io
