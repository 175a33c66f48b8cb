#include <fmt/format.h>

#include <cmath>

#include "io/report/grade_line.hpp"
#include "io/report/sections.hpp"
#include "io/write/worksheet.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

std::string with_sign(double change, const std::string& text) {
    return change > 0 && !text.starts_with('-') ? "+" + text : text;
}

/// Job, date, supply: what a plan checker looks for at the head of each page.
void write_heading(Html& html, const ReportFacts& facts, const solver::Worksheet& sheet) {
    const model::System& system = facts.subject.system;
    const ShownUnits& units = facts.speaker.units;
    const std::string head = element_id(system, {solver::ElementKind::head, sheet.head});
    html.element("h3", fmt::format("Run {}: critical head {}", run_id(facts, sheet.run), head)).raw("\n");
    html.raw("<dl class=\"facts short\">\n");
    const auto fact = [&](std::string_view name, std::string_view words) {
        html.raw("<div>").element("dt", name).element("dd", words).raw("</div>");
    };
    fact("Case", case_title(facts.subject.system, facts.subject.case_path));
    fact("Job", system.job.empty() ? "not given" : system.job);
    fact("Date of the case", system.date.empty() ? "not given" : system.date);
    if (!sheet.lines.empty() && sheet.lines.front().subject.kind == solver::ElementKind::supply) {
        const auto i = at(sheet.lines.front().subject.index);
        fact("Supply",
             fmt::format("{}, {} at no flow", system.point_id(system.supplies[i].point),
                         units.limit(system.supplies[i].static_pressure.value, Dimension::pressure)));
        fact("Drawn from it", units.text(sheet.lines.front().flow, Dimension::flow));
    }
    html.raw("</dl>\n");
}

void write_result(Html& html, const ReportFacts& facts, const solver::Worksheet& sheet) {
    const ShownUnits& units = facts.speaker.units;
    const auto row = [&](std::string_view name, double si, std::string_view kind) {
        html.raw(
            fmt::format("<tr{}><th scope=\"row\" colspan=\"6\">{}</th><td class=\"number\">{}</td></tr>\n",
                        kind, name, html_text(units.number(si, Dimension::pressure, 1))));
    };
    html.raw("<tfoot>\n");
    row("Pressure at the nozzle", sheet.pressure, "");
    if (std::isnan(sheet.wanted)) {
        html.raw("<tr><td colspan=\"7\">No wanted pressure is given for this head.</td></tr>\n");
    } else {
        row("Pressure wanted", sheet.wanted, "");
        row("Margin", sheet.margin, sheet.margin < 0 ? " class=\"over\"" : "");
    }
    html.raw("</tfoot>\n");
}

void write_lines(Html& html, const ReportFacts& facts, const solver::Worksheet& sheet) {
    const ShownUnits& units = facts.speaker.units;
    html.raw(
        "<div class=\"rows\" role=\"region\" tabindex=\"0\" aria-label=\"Worksheet\"><table "
        "class=\"worksheet\">"
        "<caption>Worksheet, from the supply to the nozzle</caption>\n<thead><tr><th scope=\"col\">On the "
        "way</th>");
    for (const auto& [title, dimension] : {std::pair{"Flow", Dimension::flow},
                                           {"Bore", Dimension::bore},
                                           {"Length", Dimension::length},
                                           {"Velocity", Dimension::velocity},
                                           {"Change", Dimension::pressure},
                                           {"Pressure", Dimension::pressure}})
        html.raw(fmt::format("<th scope=\"col\" class=\"number\">{} <small>{}</small></th>", title,
                             units.word(dimension)));
    html.raw("</tr></thead>\n<tbody>\n");
    HtmlRow row(html);
    const solver::WorksheetLine* before = nullptr;
    const auto cell = [&](double si, Dimension dimension, int more = 0) {
        return std::isnan(si) ? std::string() : units.number(si, dimension, more);
    };
    for (const solver::WorksheetLine& line : sheet.lines) {
        const std::string label = worksheet_label(facts.speaker, line, before);
        html.raw(label.starts_with("  ") ? "<tr class=\"under\">" : "<tr>");
        row.head(label.starts_with("  ") ? label.substr(2) : label)
            .number(cell(line.flow, Dimension::flow))
            .number(cell(line.bore, Dimension::bore))
            .number(cell(line.length, Dimension::length))
            .number(cell(line.velocity, Dimension::velocity))
            .number(with_sign(line.change, cell(line.change, Dimension::pressure, 1)))
            .number(cell(line.pressure, Dimension::pressure, 1))
            .end();
        before = &line;
    }
    html.raw("</tbody>\n");
    write_result(html, facts, sheet);
    html.raw("</table></div>\n");
}

}  // namespace

void write_worksheets(const ReportParts& parts) {
    Html& html = parts.html;
    const ReportFacts& facts = parts.facts;
    html.raw(
        "<section id=\"worksheets\" aria-labelledby=\"worksheets-title\">\n<h2 id=\"worksheets-title\">Grade "
        "line "
        "and worksheet of each run</h2>\n<p class=\"about\">The grade line is the height to which the water "
        "would "
        "rise: the ground, and on it the pressure. Each worksheet follows the water to the run's critical "
        "head, "
        "the one with the least margin.</p>\n");
    const auto& kept = facts.worksheets.kept();
    if (kept.empty()) html.raw("<p>No water reaches a head in any run: there is no way to follow.</p>\n");
    if (facts.worksheets.dropped() > 0)
        html.raw(fmt::format("<p>The {} worst runs; {} more have none here.</p>\n", kept.size(),
                             facts.worksheets.dropped()));
    html.raw("<p class=\"picked\" id=\"sheet-picked\" role=\"status\" hidden></p>\n");
    for (const auto& [badness, sheet_and_cost] : kept) {
        const solver::Worksheet& sheet = sheet_and_cost.first;
        const GradeLine line = find_grade_line(facts.speaker, facts.subject.layout, sheet);
        // A long one is set smaller, so that it stays on its page.
        const std::size_t lines = sheet.lines.size();
        html.raw(fmt::format("<article class=\"sheet{}\" id=\"sheet-{}\">\n",
                             lines > 32   ? " longest"
                             : lines > 19 ? " long"
                                          : "",
                             sheet.run));
        write_heading(html, facts, sheet);
        html.raw("<figure class=\"grade-line\">\n");
        draw_grade_line(html, facts.speaker, sheet, line, 340, "narrow");
        draw_grade_line(html, facts.speaker, sheet, line, 900, "wide");
        html.raw("</figure>\n");
        write_lines(html, facts, sheet);
        html.raw("</article>\n");
    }
    html.raw("</section>\n");
}

}  // namespace evenhead::io
