// The first page: what it is about, the verdict, what decides it, and what the numbers do not cover.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/report/sections.hpp"
#include "io/write/diagnosis_answer.hpp"
#include "io/write/layout.hpp"
#include "io/write/review_answer.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

const Page one_line{true, true, false};

/// Paragraphs end in a line break, which HTML does not need.
std::string sentence(std::string text) {
    while (text.ends_with('\n')) text.pop_back();
    return text;
}

std::string spread_words(const ShownUnits& units, const model::Quantity& quantity, Dimension dimension) {
    std::string text = units.limit(quantity.value, dimension);
    if (quantity.deviation > 0)
        text += fmt::format(" \xC2\xB1 {}", units.limit(2 * quantity.deviation, dimension));
    return text;
}

std::string supply_words(const ReportFacts& facts, std::size_t i) {
    const ShownUnits& units = facts.speaker.units;
    const model::System& system = facts.subject.system;
    const model::Supply& supply = system.supplies[i];
    std::string text =
        fmt::format("{} at no flow", spread_words(units, supply.static_pressure, Dimension::pressure));
    for (const model::ChartRow& test : supply.tests)
        text += fmt::format(", {} at {}", spread_words(units, test.value, Dimension::pressure),
                            spread_words(units, test.at, Dimension::flow));
    if (supply.tests.empty()) text += ", held at any flow";
    text += fmt::format("; gauge at {}",
                        units.limit(facts.subject.layout.elevation[at(supply.point)], Dimension::length));
    const auto& [run, flow] = facts.supplies[i];
    if (run != model::none)
        text +=
            fmt::format("; most drawn {}, in run {}", units.text(flow, Dimension::flow), run_id(facts, run));
    return text;
}

void fact(Html& html, std::string_view name, std::string_view words) {
    html.raw("<div>").element("dt", name).element("dd", words).raw("</div>\n");
}

void write_facts(Html& html, const ReportFacts& facts) {
    const model::System& system = facts.subject.system;
    html.raw("<dl class=\"facts\">\n");
    fact(html, "Job", system.job.empty() ? "not given" : system.job);
    fact(html, "Date of the case", system.date.empty() ? "not given" : system.date);
    fact(html, "System",
         fmt::format("{}, {}, {}, {}", counted(system.heads.size(), "head"),
                     counted(system.valves.size(), "zone valve"), counted(system.pipes.size(), "pipe"),
                     counted(facts.runs.size(), "run")));
    constexpr std::size_t most = 6;
    for (std::size_t i = 0; i < std::min(most, system.supplies.size()); ++i)
        fact(html, "Supply " + system.point_id(system.supplies[i].point), supply_words(facts, i));
    if (system.supplies.size() > most)
        fact(html, "More supplies", fmt::format("{}", system.supplies.size() - most));
    const ShownUnits& units = facts.speaker.units;
    fact(html, "Units",
         fmt::format("{}, {}, {}, {}; water at {}", units.word(Dimension::pressure),
                     units.word(Dimension::flow), units.word(Dimension::length),
                     units.word(Dimension::velocity),
                     units.limit(system.temperature, Dimension::temperature)));
    html.raw("</dl>\n");
}

/// What else was asked, in a sentence each; the sections say more.
void other_answers(const ReportParts& parts) {
    const ReportAnswers& answers = parts.answers;
    const auto say = [&](std::string_view what, const std::string& words) {
        parts.html.element("p", fmt::format("{}: {}", what, words));
    };
    if (answers.review != nullptr)
        say("Review", review_answer(parts.facts.speaker, answers.review->review).verdict);
    if (answers.acceptance != nullptr)
        say("Predicted against measured", acceptance_verdict(answers.acceptance->acceptance));
    if (answers.comparison != nullptr)
        say("Drawn against built",
            comparison_answer(parts.facts.speaker, answers.comparison->comparison).words);
}

}  // namespace

void write_cover(const ReportParts& parts) {
    const ReportFacts& facts = parts.facts;
    Html& html = parts.html;
    const bool solved = facts.summary.solved, within = facts.summary.within_limits;
    const char* verdict = !solved ? "Not solved" : within ? "Within limits" : "Outside limits";
    html.raw(
        "<header class=\"cover\">\n<p class=\"kind\">Pressure and flow of a sprinkler system. "
        "<strong>Irrigation, not fire protection.</strong></p>\n");
    html.element("h1", case_title(facts.subject.system, facts.subject.case_path)).raw("\n");
    html.raw(fmt::format("<section class=\"verdict {}\" aria-labelledby=\"verdict\">\n", !solved ? "unsolved"
                                                                                         : within
                                                                                             ? "within"
                                                                                             : "outside"));
    html.element("h2 id=\"verdict\"", verdict).raw("\n");
    html.element("p", sentence(facts.answer.verdict(facts.summary, one_line)));
    html.element("p", sentence(facts.answer.reason(facts.summary, one_line)));
    const std::string remedy = facts.answer.remedy(facts.summary);
    html.element("p", remedy.empty() ? "Next: see below where the pressure of the critical head goes."
                                     : "Next: " + remedy);
    html.raw("\n</section>\n");
    write_facts(html, facts);
    if (parts.diagnosis != nullptr) {
        const DiagnosisAnswer answer(parts.diagnosis->speaker, parts.diagnosis->diagnosis);
        html.element("p", "Readings on site: " + answer.what());
    }
    other_answers(parts);
    const std::string surge = facts.answer.surge(one_line);
    if (!surge.empty()) html.element("p", sentence(surge));
    if (parts.lower != nullptr)
        html.element("p", sentence(facts.answer.lower_supply(*parts.lower, one_line)));
    html.element("p class=\"caution\"", sentence(cautions(one_line)));
    html.raw("<nav aria-label=\"Contents\"><ul>");
    if (parts.has_readings()) html.raw("<li><a href=\"#diagnosis\">Diagnosis</a></li>");
    for (const auto& [id, name] : {std::pair{"plan", "Plan"},
                                   {"worksheets", "Grade lines and worksheets"},
                                   {"findings", "Findings"},
                                   {"review", "Review"},
                                   {"acceptance", "Predicted against measured"},
                                   {"comparison", "Drawn against built"},
                                   {"coverage", "Even watering"},
                                   {"timetable", "Timetable"},
                                   {"sheets", "Crew's sheets"},
                                   {"tables", "Tables"},
                                   {"assumed", "Assumed"},
                                   {"warnings", "Warnings"},
                                   {"method", "Method and sources"},
                                   {"cautions", "Cautions"}}) {
        const std::string_view section(id);
        if (section == "review" && parts.answers.review == nullptr) continue;
        if (section == "acceptance" && !parts.has_acceptance()) continue;
        if (section == "comparison" && parts.answers.comparison == nullptr) continue;
        if (section == "coverage" && !parts.has_coverage()) continue;
        if (section == "timetable" && parts.answers.timetable == nullptr) continue;
        if (section == "sheets" && parts.answers.sheets == nullptr) continue;
        html.raw(fmt::format("<li><a href=\"#{}\">{}</a></li>", id, name));
    }
    html.raw("</ul></nav>\n</header>\n");
}

}  // namespace evenhead::io
