// The readings weighed: the answer, what to do in its order, where it could be, what it could be, the
// readings themselves, and what the heads get once it is mended.
#include <fmt/format.h>

#include <algorithm>

#include "io/report/diagnosis_facts.hpp"
#include "io/report/sections.hpp"
#include "io/write/calibration.hpp"
#include "io/write/diagnosis.hpp"
#include "io/write/diagnosis_answer.hpp"
#include "io/write/field_tests.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::Hypothesis;

constexpr double least_place = 0.02, least_group = 0.01;  // less is not worth a mark, a row
constexpr std::size_t most_open = 30, most_places = 12, most_members = 12, most_tests = 5, most_readings = 3;

/// "Next: gauge head L4 ..." without its first word, for a list.
std::string without_next(std::string text) {
    constexpr std::string_view next = "Next: ";
    if (text.starts_with(next)) text.erase(0, next.size());
    return sentence_case(std::move(text));
}

/// A number and its percent sign stay on one line.
std::string tied(std::string text) {
    constexpr std::string_view apart = " %", together = "\xC2\xA0%";
    for (std::size_t i = text.find(apart); i != std::string::npos; i = text.find(apart, i + together.size()))
        text.replace(i, apart.size(), together);
    return text;
}

class Section {
  public:
    Section(Html& html, const DiagnosisFacts& facts)
        : html_(html), facts_(facts), diagnosis_(facts.diagnosis), units_(facts.speaker.units) {}

    void write() {
        const DiagnosisAnswer answer(facts_.speaker, diagnosis_);
        const char* state = leads_as_drawn(diagnosis_)      ? "within"
                            : leads_unexplained(diagnosis_) ? "unsolved"
                                                            : "outside";
        html_.raw(fmt::format("<div class=\"verdict {}\">\n", state));
        html_.element("p class=\"what\"", tied(answer.what())).raw("\n");
        html_.element("p", tied(answer.how_sure())).raw("\n");
        html_.element("p", tied(answer.next_step())).raw("\n</div>\n");
        if (diagnosis_.stopped) html_.element("p", "Stopped early: not every place was looked at.").raw("\n");
        places();
        work_order(answer);
        explanations();
        readings();
        mended();
        html_.element("p class=\"caution\"", std::string(diagnosis_caution)).raw("\n");
    }

  private:
    void heading(std::string_view words) { html_.element("h3", words).raw("\n"); }

    void places() {
        if (facts_.places.empty()) return;
        heading("Where to look");
        html_
            .element("p class=\"about\"",
                     "Numbered as on the plan, the likeliest first, whatever it is there.")
            .raw("\n");
        const HtmlTable table{"suspects-table",
                              "Places that may be at fault",
                              {{"No."}, {"Place"}, {"Chance", "", true}, {"What it could be there"}},
                              false};
        write_table(html_, table, facts_.places.size(), [&](HtmlRow& row, std::size_t i) {
            const SuspectPlace& place = facts_.places[i];
            const int number = static_cast<int>(i) + 1;
            const bool marked =
                std::any_of(facts_.suspects.begin(), facts_.suspects.end(),
                            [&](const PlanSuspect& suspect) { return suspect.number == number; });
            row.begin(fmt::format("row-suspect-{}", number));
            html_.raw("<th scope=\"row\">");
            html_.raw(marked
                          ? fmt::format("<a class=\"suspect-number\" href=\"#suspect-{0}\">{0}</a>", number)
                          : std::to_string(number));
            html_.raw("</th>");
            std::string faults;
            for (const auto& [clause, probability] : place.faults)
                faults += fmt::format("{}{} ({})", faults.empty() ? "" : "; ", clause, chance(probability));
            row.cell(place.name).number(chance(place.probability)).cell(tied(sentence_case(faults))).end();
        });
    }

    void work_order(const DiagnosisAnswer& answer) {
        heading("Work order");
        html_.raw("<ol class=\"sentences\">\n");
        html_.element("li", tied(without_next(answer.next_step()))).raw("\n");
        for (const std::string& test : field_tests(diagnosis_, most_tests))
            html_.element("li", test).raw("\n");
        html_.raw("</ol>\n");
        std::vector<std::string> others;
        for (const solver::NextReading& next : diagnosis_.next)
            if (std::string text = answer.reading(next); !text.empty()) others.push_back(std::move(text));
        if (others.size() < 2) return;
        html_.raw("<p>Other readings that tell, best first:</p>\n<ul class=\"sentences\">\n");
        for (std::size_t i = 1; i < std::min(others.size(), 1 + most_readings); ++i)
            html_.element("li", tied(sentence_case(others[i]))).raw("\n");
        html_.raw("</ul>\n");
    }

    struct Line {
        std::string group, chance, what, how_much;
    };

    std::vector<Line> lines() const {
        std::vector<Line> lines;
        int number = 0;
        for (const solver::Group& group : diagnosis_.groups) {
            ++number;
            if (group.probability < least_group) continue;
            const std::string name = fmt::format("{}: {}", number, chance(group.probability));
            for (std::size_t i = 0; i < std::min(group.members.size(), most_members); ++i) {
                const Hypothesis& of = diagnosis_.hypotheses[group.members[i]];
                std::string amounts;
                for (std::size_t k = 0; k < of.faults.size(); ++k) {
                    const std::string amount =
                        facts_.words.amount(*of.faults[k], of.severities[k], of.band[k]);
                    if (!amount.empty()) amounts += (amounts.empty() ? "" : "; ") + amount;
                }
                lines.push_back({name, chance(of.probability), sentence_case(facts_.words.clause(of)),
                                 amounts.empty() ? "-" : amounts});
            }
            if (group.members.size() > most_members)
                lines.push_back(
                    {name, "-", fmt::format("{} more like these", group.members.size() - most_members), "-"});
        }
        if (diagnosis_.unexplained >= least_group)
            lines.push_back(
                {"-", chance(diagnosis_.unexplained), "Something else, or more than this at once", "-"});
        return lines;
    }

    void explanations() {
        heading("What it could be");
        html_
            .element(
                "p class=\"about\"",
                "The readings do not tell the explanations of one group apart; beside its number stands the "
                "chance of the group. In brackets: where the amount lies nine times in ten.")
            .raw("\n");
        const std::vector<Line> all = lines();
        const HtmlTable table{"groups-table",
                              "Explanations, the likeliest first",
                              {{"Group"}, {"Chance", "", true}, {"Explanation"}, {"How much"}},
                              all.size() > 5};
        write_table(html_, table, all.size(), [&](HtmlRow& row, std::size_t i) {
            const Line& line = all[i];
            row.begin()
                .head(tied(line.group))
                .number(line.chance)
                .cell(line.what)
                .cell(tied(line.how_much))
                .end();
        });
    }

    void readings() {
        heading("The readings");
        const Hypothesis* leading = leading_explanation(diagnosis_);
        const bool drawn = leading == nullptr || leading->faults.empty();
        html_
            .element("p class=\"about\"",
                     fmt::format(
                         "{}The last number is how far a reading is from that, in standard deviations of the "
                         "reading (half of its spread); more than 3 of them is no chance.",
                         drawn ? "Beside what is drawn. "
                               : "Beside what the leading explanation foretells, and what is drawn. "))
            .raw("\n");
        const std::vector<ReadingLine> all = reading_lines(facts_.speaker.system, diagnosis_);
        for (const bool flow : {false, true}) {
            std::vector<const ReadingLine*> shown_lines;
            for (const ReadingLine& line : all)
                if (line.flow == flow) shown_lines.push_back(&line);
            if (shown_lines.empty()) continue;
            const Dimension dimension = flow ? Dimension::flow : Dimension::pressure;
            const std::string unit(units_.word(dimension));
            HtmlTable table{flow ? "flow-readings" : "pressure-readings",
                            flow ? "Flows read" : "Pressures read",
                            {},
                            false};
            table.columns = {{"At"}, {"Run"}, {"Read", unit, true}};
            if (!drawn) table.columns.push_back({"If so", unit, true});
            table.columns.push_back({"Drawn", unit, true});
            table.columns.push_back({"Off by", "sd", true});
            const bool remarks = std::any_of(shown_lines.begin(), shown_lines.end(),
                                             [](const ReadingLine* line) { return line->wrong; });
            if (remarks) table.columns.push_back({"Remark"});
            const auto number = [&](double si) { return units_.number(si, dimension); };
            write_table(html_, table, shown_lines.size(), [&](HtmlRow& row, std::size_t i) {
                const ReadingLine& line = *shown_lines[i];
                row.begin().head(line.place).cell(line.run).number(number(line.read));
                if (!drawn) row.number(number(line.here));
                constexpr double no_chance = 3;  // standard deviations
                row.number(number(line.drawn))
                    .number(deviations_text(line.off), std::abs(line.off) > no_chance);
                if (remarks) row.cell(line.wrong ? "likely wrong: take it again" : "-");
                row.end();
            });
        }
    }

    void mended() {
        const AfterMending after = after_mending(facts_.speaker.system, diagnosis_);
        if (after.instead.empty() && after.heads.empty()) return;
        heading("When it is mended");
        if (!after.instead.empty()) {
            html_.element("p", after.instead).raw("\n");
            return;
        }
        if (after.judged > 0) {
            std::string text =
                fmt::format("{} of {} get what they need now, {} when it is mended.", after.enough_now,
                            counted(after.judged, "head"), after.enough_mended);
            if (after.enough_mended < after.judged) text += " Mending alone is not enough: see the findings.";
            html_.element("p", text).raw("\n");
        }
        const std::string unit(units_.word(Dimension::pressure));
        const HtmlTable table{"mended-table",
                              "Heads of the run complained of",
                              {{"Head"}, {"Now", unit, true}, {"Mended", unit, true}, {"Needs", unit, true}},
                              false};
        write_table(html_, table, after.heads.size(), [&](HtmlRow& row, std::size_t i) {
            const MendedHead& head = after.heads[i];
            const auto number = [&](double si) { return shown(facts_.speaker, si, Dimension::pressure); };
            row.begin()
                .head(element_id(facts_.speaker.system, {solver::ElementKind::head, head.head}))
                .number(number(head.now), head.now < head.needs)
                .number(number(head.mended), head.mended < head.needs)
                .number(number(head.needs))
                .end();
        });
    }

    Html& html_;
    const DiagnosisFacts& facts_;
    const solver::Diagnosis& diagnosis_;
    const ShownUnits& units_;
};

}  // namespace

DiagnosisFacts::DiagnosisFacts(const model::System& whole, const solver::Diagnosis& found)
    : system(whole),
      diagnosis(found),
      speaker{found.survey.part.system, ShownUnits::of_text(whole)},
      words(speaker, found.survey) {
    if (leads_as_drawn(found)) return;
    places = suspect_places(words, found, least_place);
    if (places.size() > most_places) places.resize(most_places);
    for (std::size_t i = 0; i < places.size(); ++i)
        if (!places[i].things.empty())
            suspects.push_back({static_cast<int>(i) + 1, places[i].things,
                                sentence_case(fmt::format("{}: may be at fault, {}", places[i].name,
                                                          chance(places[i].probability)))});
}

namespace {

/// What the readings say of values that the case leaves open.
void write_calibration(const ReportParts& parts) {
    const ReportReadings& readings = parts.readings;
    if (readings.calibration == nullptr || readings.calibration->empty()) return;
    Html& html = parts.html;
    html.element("h3", "What the readings say of the case").raw("\n");
    // A nozzle's flow stands in the system that was fitted.
    const Speaker whole{readings.calibration->system, parts.facts.speaker.units};
    const std::string remark =
        parts.diagnosis == nullptr ? "" : fitted_remark(parts.diagnosis->words, parts.diagnosis->diagnosis);
    const CalibrationWords words = calibration_words(whole, *readings.calibration, remark, most_open);
    if (!words.determined.empty()) {
        html.raw("<ul class=\"sentences\">\n");
        for (const std::string& sentence : words.determined) html.element("li", tied(sentence)).raw("\n");
        html.raw("</ul>\n");
    }
    for (const std::string* sentence : {&words.open, &words.remark})
        if (!sentence->empty()) html.element("p", tied(*sentence)).raw("\n");
}

}  // namespace

void write_diagnosis_section(const ReportParts& parts) {
    if (!parts.has_readings()) return;
    Html& html = parts.html;
    html.raw(
        "<section id=\"diagnosis\" aria-labelledby=\"diagnosis-title\">\n<h2 "
        "id=\"diagnosis-title\">Diagnosis</h2>\n"
        "<p class=\"about\">What the readings taken on site say is wrong. Plan, grade lines and findings "
        "below are of the system as drawn");
    html.raw(parts.readings.filled ? ", with what fits the readings best in place of each \"?\".</p>\n"
                                   : ".</p>\n");
    if (parts.diagnosis != nullptr)
        Section(html, *parts.diagnosis).write();
    else
        html.element("p class=\"over\"",
                     fmt::format("The readings could not be weighed: {}", parts.readings.not_weighed))
            .raw("\n");
    write_calibration(parts);
    html.raw("</section>\n");
}

}  // namespace evenhead::io
