// Predicted against measured: every reading beside what the case foretells there, and whether it is accepted.
#include <fmt/format.h>

#include "io/report/sections.hpp"
#include "io/write/acceptance.hpp"
#include "io/write/chance.hpp"
#include "io/write/diagnosis_tables.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::AcceptedReading;

void write_readings(Html& html, const Speaker& speaker, const solver::Acceptance& acceptance, bool flow) {
    std::vector<const AcceptedReading*> rows;
    for (const AcceptedReading& reading : acceptance.readings)
        if (reading.gauge.flow == flow) rows.push_back(&reading);
    if (rows.empty()) return;
    const Dimension dimension = flow ? Dimension::flow : Dimension::pressure;
    const std::string unit(speaker.units.word(dimension));
    const HtmlTable table{flow ? "accepted-flows" : "accepted-pressures",
                          flow ? "Flows" : "Pressures",
                          {{flow ? "Flow at" : "Pressure at"},
                           {"Run"},
                           {"Predicted", unit, true},
                           {"Measured", unit, true},
                           {"Off by", unit, true},
                           {"Allowed", unit, true},
                           {"Accepted"}}};
    const auto number = [&](double si) { return speaker.units.number(si, dimension); };
    write_table(html, table, rows.size(), [&](HtmlRow& line, std::size_t i) {
        const AcceptedReading& of = *rows[i];
        line.begin()
            .head(gauge_label(speaker.system, of.gauge))
            .cell(of.run == model::none ? "all shut" : speaker.system.runs[at(of.run)].id)
            .number(number(of.predicted))
            .number(number(of.gauge.measured))
            .number(off_words(speaker.units, of), !of.accepted)
            .number(number(of.allowed))
            .cell(of.accepted ? "yes" : "no", !of.accepted)
            .end();
    });
}

}  // namespace

void write_acceptance_section(const ReportParts& parts) {
    const AcceptanceSubject* subject = parts.answers.acceptance;
    if (subject == nullptr && parts.answers.not_judged.empty()) return;
    Html& html = parts.html;
    html.raw(
        "<section id=\"acceptance\" aria-labelledby=\"acceptance-title\">\n<h2 id=\"acceptance-title\">"
        "Predicted against measured</h2>\n");
    if (subject == nullptr) {
        html.element("p class=\"over\"", "The readings could not be judged: " + parts.answers.not_judged)
            .raw("\n</section>\n");
        return;
    }
    const Speaker& speaker = parts.facts.speaker;
    const solver::Acceptance& acceptance = subject->acceptance;
    html.raw(fmt::format("<div class=\"verdict {}\">\n", acceptance.accepted() ? "within" : "outside"));
    html.element("p class=\"what\"", acceptance_verdict(acceptance)).raw("\n");
    html.element("p", farthest_words(speaker, acceptance)).raw("\n</div>\n");
    for (const bool flow : {false, true}) write_readings(html, speaker, acceptance, flow);
    html.element("p", allowed_words(acceptance)).raw("\n");
    if (acceptance.usual_spreads > 0) {
        html.raw("<ul class=\"sentences\">\n");
        for (const std::string& line : spread_lines(speaker.units, subject->spreads))
            html.element("li", sentence_case(line)).raw("\n");
        html.raw("</ul>\n");
    }
    if (const std::string unused = unused_words(speaker, acceptance); !unused.empty())
        html.element("p", unused).raw("\n");
    html.raw("</section>\n");
}

}  // namespace evenhead::io
