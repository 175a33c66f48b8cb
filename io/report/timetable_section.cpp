// Who waters when: the answer, a picture of each night, its runs, and how long each zone runs.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/report/sections.hpp"
#include "io/report/timetable_drawing.hpp"
#include "io/week.hpp"
#include "io/write/finding_list.hpp"
#include "io/write/together.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::Night;
using solver::ZoneTime;

class TimetableSection {
  public:
    TimetableSection(Html& html, const Speaker& speaker, const TimetableSubject& subject)
        : html_(html), speaker_(speaker), subject_(subject), made_(subject.timetable) {}

    void write() {
        html_.raw(
            "<section id=\"timetable\" aria-labelledby=\"timetable-title\">\n"
            "<h2 id=\"timetable-title\">Timetable</h2>\n");
        html_.element(subject_.fits() ? "p" : "p class=\"over\"", night_answer(subject_)).raw("\n");
        if (made_.possible()) html_.element("p", night_bound_words(subject_)).raw("\n");
        list(what_would_help(subject_));
        for (std::size_t n = 0; n < made_.nights.size(); ++n)
            if (!made_.nights[n].runs.empty()) night(made_.nights[n], n);
        zones();
        std::vector<std::string> taken;
        for (const model::Assumption& of : made_.assumptions)
            taken.push_back(fmt::format("{}: {} {} ({}).", of.subject, of.what, of.words, of.why));
        if (!taken.empty()) html_.raw("<h3>Taken for granted</h3>\n");
        list(taken);
        html_.raw("</section>\n");
    }

  private:
    void list(const std::vector<std::string>& sentences) {
        if (sentences.empty()) return;
        html_.raw("<ul class=\"sentences\">\n");
        for (const std::string& sentence : sentences) html_.element("li", sentence).raw("\n");
        html_.raw("</ul>\n");
    }

    void night(const Night& night, std::size_t number) {
        html_
            .element("h3", fmt::format("Night that begins {}: {} to {}", days_words(night.days),
                                       clock_words(night.start), clock_words(night.end)))
            .raw("\n<figure class=\"night-picture\">\n");
        draw_night(html_, subject_, night, 340, "narrow");
        draw_night(html_, subject_, night, 900, "wide");
        html_.raw("</figure>\n");
        const std::string id = fmt::format("timetable-{}", number + 1);
        const HtmlTable table{id,
                              fmt::format("Runs of the night, {}", duration_words(night.length())),
                              {{"From"},
                               {"To"},
                               {"Time", "min", true},
                               {"Flow", std::string(speaker_.units.word(Dimension::flow)), true},
                               {"Open"}}};
        write_table(html_, table, night.runs.size(), [&](HtmlRow& row, std::size_t i) {
            const solver::TimetableRun& run = night.runs[i];
            row.begin()
                .head(clock_words(run.start))
                .cell(clock_words(run.end))
                .number(fmt::format("{}", run.end - run.start))
                .number(shown(speaker_, run.flow, Dimension::flow))
                .cell(fmt::format("{}", fmt::join(set_ids(subject_.system, run.valves), " ")))
                .end();
        });
    }

    void zones() {
        const HtmlTable table{"timetable-zones",
                              "Run times of a night, in the order of the case",
                              {{"Valve"},
                               {"Days"},
                               {"Rate", std::string(speaker_.units.word(Dimension::rate)), true},
                               {"DU lq", "%", true},
                               {"Times", "", true},
                               {"Run", "min", true},
                               {"Cycles", "", true},
                               {"Longest", "min", true}}};
        html_.raw("<h3>Run times</h3>\n");
        write_table(html_, table, made_.zones.size(), [&](HtmlRow& row, std::size_t i) {
            const ZoneTime& zone = made_.zones[i];
            row.begin()
                .head(element_id(subject_.system, {solver::ElementKind::valve, zone.valve}))
                .cell(days_words(zone.days))
                .number(shown(speaker_, zone.rate, Dimension::rate))
                .number(shown(speaker_, zone.du_lq, Dimension::share))
                .number(fmt::format("{:.2f}", zone.multiplier))
                .number(fmt::format("{}", zone.minutes))
                .number(fmt::format("{}", zone.cycles()))
                .number(zone.longest_cycle > 0 ? fmt::format("{}", zone.longest_cycle) : "-")
                .end();
        });
        html_
            .element("p class=\"about\"",
                     fmt::format("Times: {}. Run: depth over rate, that many times, in whole minutes. "
                                 "Longest: a cycle lasts no longer, and then soaks. Every set of valves that "
                                 "is open at once was balanced and judged by every rule.",
                                 multiplier_words(made_)))
            .raw("\n");
    }

    Html& html_;
    const Speaker& speaker_;
    const TimetableSubject& subject_;
    const solver::Timetable& made_;
};

}  // namespace

void write_timetable_section(const ReportParts& parts) {
    if (parts.answers.timetable != nullptr)
        TimetableSection(parts.html, parts.facts.speaker, *parts.answers.timetable).write();
}

}  // namespace evenhead::io
