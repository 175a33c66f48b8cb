#include "io/write/calibration.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "io/units.hpp"
#include "io/write/calibration_words_parts.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Index;
using solver::CalibratedChoice;
using solver::CalibratedInput;
using solver::Choice;
using solver::ElementKind;

std::string id_of(const model::System& system, ElementKind kind, Index row) {
    return kind == ElementKind::run ? system.nozzles[at(row)].id : element_id(system, {kind, row});
}

std::string place_words(const model::System& system, ElementKind kind, const std::vector<Index>& rows) {
    if (kind == ElementKind::run) return "nozzle " + id_of(system, kind, rows.front());
    if (rows.size() == 1) return element_name(system, {kind, rows.front()});
    return fmt::format("{} from {} to {}", counted(rows.size(), element_noun(system, {kind, rows.front()})),
                       id_of(system, kind, rows.front()), id_of(system, kind, rows.back()));
}

ElementKind kind_of(const Choice& choice) {
    return choice.what == Choice::What::size ? ElementKind::pipe : ElementKind::head;
}
std::string input_words(const model::System& system, const CalibratedInput& input) {
    const Naming of = naming(system, input.input);
    return fmt::format("{} of {}", of.words, place_words(system, of.kind, input.input.rows));
}
std::string choice_words(const model::System& system, const CalibratedChoice& choice) {
    return fmt::format("{} of {}", choice_word(choice.choice),
                       place_words(system, kind_of(choice.choice), choice.choice.rows));
}

std::string before_text(const model::System& system, const CalibratedInput& input) {
    return input.asked
               ? "\"?\""
               : value_text(system, naming(system, input.input), input.input.value, input.input.deviation);
}

/// The likeliest candidates, until little is left.
std::string candidates_text(const model::System& system, const CalibratedChoice& choice) {
    std::vector<std::size_t> order(choice.chances.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(), [&](std::size_t one, std::size_t other) {
        return choice.chances[one] > choice.chances[other];
    });
    constexpr double enough = 0.95;
    constexpr std::size_t most = 3;
    std::string text;
    double sum = 0;
    for (std::size_t i = 0; i < std::min(most, order.size()) && sum < enough; ++i) {
        text += fmt::format("{}{} {:.0f} %", i == 0 ? "" : ", ", candidate(system, choice.choice, order[i]),
                            100 * choice.chances[order[i]]);
        sum += choice.chances[order[i]];
    }
    return text;
}

}  // namespace

CalibrationWords calibration_words(const Speaker& speaker, const solver::Calibration& calibration,
                                   const std::string& remark, std::size_t most_open) {
    const model::System& system = speaker.system;
    CalibrationWords words;
    std::vector<std::string> open;
    for (const CalibratedInput& input : calibration.inputs) {
        const Found now = found(system, input);
        if (input.determined)
            words.determined.push_back(fmt::format(
                "{}: {} (the case: {}).", sentence_case(input_words(system, input)),
                value_text(system, now.of, now.after, now.deviation), before_text(system, input)));
        else
            open.push_back(input_words(system, input));
    }
    for (const CalibratedChoice& choice : calibration.choices) {
        if (choice.determined)
            words.determined.push_back(fmt::format("{}: {} (the case: \"?\").",
                                                   sentence_case(choice_words(system, choice)),
                                                   candidate(system, choice.choice, choice.best)));
        else
            open.push_back(
                fmt::format("{} ({})", choice_words(system, choice), candidates_text(system, choice)));
    }
    if (!open.empty()) {
        const std::size_t shown = std::min(most_open, open.size());
        std::string list;
        for (std::size_t i = 0; i < shown; ++i) list += (i == 0 ? "" : "; ") + open[i];
        if (shown < open.size()) list += fmt::format("; and {} more (--all)", open.size() - shown);
        words.open = "Not determined by these readings: " + list + ".";
    }
    words.remark = calibration.fits ? remark
                                    : "With no values of these do the readings fit the case: something else "
                                      "is wrong, and nothing is taken over.";
    return words;
}

std::string calibration_text(const Speaker& speaker, const solver::Calibration& calibration,
                             const std::string& remark, const Page& page) {
    if (calibration.empty()) return "";
    constexpr std::size_t most = 8;
    const CalibrationWords words = calibration_words(
        speaker, calibration, remark, page.all ? std::numeric_limits<std::size_t>::max() : most);
    std::string text = "\nWhat the readings say of the case\n";
    for (const std::string& sentence : words.determined) text += paragraph(sentence, page.columns(), "- ");
    for (const std::string* sentence : {&words.open, &words.remark})
        if (!sentence->empty()) text += paragraph(*sentence, page.columns());
    return text;
}

void write_calibrated(JsonWriter& json, const model::System& system, const solver::Calibration& calibration) {
    const auto place = [&](ElementKind kind, const std::vector<Index>& rows) {
        json.text("at", id_of(system, kind, rows.front()));
        if (rows.size() < 2) return;
        json.key("parts").begin_array();
        for (const Index row : rows) json.text(id_of(system, kind, row));
        json.end_array();
    };
    json.begin_array();
    for (const CalibratedInput& input : calibration.inputs) {
        const Found now = found(system, input);
        const Naming& of = now.of;
        const auto value = [&](double si) { return to_units(si, of.dimension, system.units); };
        const auto size = [&](double si) { return value(si) - value(0); };
        json.line().begin_object().text("input", of.key);
        place(of.kind, input.input.rows);
        const double unknown = std::nan("");
        json.number("before", input.asked ? unknown : value(input.input.value));
        json.number("before_sd", input.asked ? unknown : size(input.input.deviation));
        json.number("after", value(now.after)).number("sd", size(now.deviation));
        json.text("unit", unit_word(of.dimension, system.units)).key("determined").boolean(input.determined);
        json.end_object();
    }
    for (const CalibratedChoice& choice : calibration.choices) {
        json.line().begin_object().text("input", choice_word(choice.choice));
        place(kind_of(choice.choice), choice.choice.rows);
        json.key("before").null().key("before_sd").null();
        json.text("after", candidate(system, choice.choice, choice.best)).key("sd").null();
        json.text("unit", "").key("determined").boolean(choice.determined);
        json.key("candidates").begin_array();
        for (std::size_t i = 0; i < choice.chances.size(); ++i)
            json.begin_object()
                .text("value", candidate(system, choice.choice, i))
                .number("chance", choice.chances[i])
                .end_object();
        json.end_array().end_object();
    }
    json.end_array();
}

}  // namespace evenhead::io
