#include <fmt/format.h>
#include <algorithm>

#include "io/report/sections.hpp"
#include "io/write/gathered.hpp"
#include "io/write/issues.hpp"
#include "io/write/layout.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

const Page gathered_lines{true, false, false};

void write_sentences(Html& html, const std::vector<std::string>& sentences, std::size_t most) {
    html.raw("<ul class=\"sentences\">\n");
    for (std::size_t i = 0; i < std::min(most, sentences.size()); ++i)
        html.element("li", sentences[i]).raw("\n");
    html.raw("</ul>\n");
    if (sentences.size() > most)
        html.raw(fmt::format("<p>And {} more like these in the table.</p>\n", sentences.size() - most));
}

void write_finding_table(Html& html, const ReportFacts& facts, const FindingList& list, std::string_view id,
                         std::string_view caption) {
    const auto groups = list.groups();
    const ShownUnits& units = facts.speaker.units;
    const HtmlTable table{id,
                          std::string(caption),
                          {{"Rule", "", false},
                           {"About", "", false},
                           {"Worst in run", "", false},
                           {"Runs", "", true},
                           {"Value", "", true},
                           {"Limit", "", true},
                           {"Margin", "", true},
                           {"Source", "", false}}};
    write_table(html, table, groups.size(), [&](HtmlRow& row, std::size_t i) {
        const FindingList::Group& group = *groups[i];
        const solver::Finding& finding = group.finding;
        const bool number = finding.dimension != model::Dimension::none;
        row.begin()
            .head(rule_name(finding.rule))
            .cell(element_name(facts.subject.system, finding.subject))
            .cell(group.run.empty() ? "whole system" : group.run)
            .cell(group.run.empty() ? "-" : std::to_string(group.runs))
            .number(number ? units.beside(finding.value, finding.limit, finding.dimension) : "-",
                    finding.fails && number)
            .number(number ? units.limit(finding.limit, finding.dimension) : "-")
            .number(number ? units.beside(finding.margin, 0, finding.dimension) : "-")
            .cell(finding.source.empty() ? std::string("common practice") : finding.source)
            .end();
    });
}

}  // namespace

void write_findings(const ReportParts& parts) {
    Html& html = parts.html;
    const ReportFacts& facts = parts.facts;
    html.raw(
        "<section id=\"findings\" aria-labelledby=\"findings-title\">\n<h2 "
        "id=\"findings-title\">Findings</h2>\n");
    for (const RunFacts& run : facts.runs)
        if (!run.solved)
            html.element("p class=\"over\"", fmt::format("Run {} has no proven solution. {}",
                                                         run_id(facts, run.run), run.failure))
                .raw("\n");
    if (facts.found.size() == 0) {
        html.raw(facts.summary.solved ? "<p>Nothing is outside its limit.</p>\n"
                                      : "<p>In the runs that are solved nothing is outside its limit.</p>\n");
    } else {
        html.raw(
            "<p class=\"about\">Whatever is outside its limit, the worst first, each in the run where it is "
            "worst.</p>\n");
        write_sentences(html, facts.found.sentences(gathered_lines), page_rows);
        write_finding_table(html, facts, facts.found, "finding-table", "Findings, worst first");
    }
    html.raw("</section>\n");
}

void write_open_points(const ReportParts& parts) {
    Html& html = parts.html;
    const ReportFacts& facts = parts.facts;
    const CheckSubject& subject = facts.subject;
    Gathered assumed, why;
    for (const auto* list : {&subject.system.assumptions, &subject.layout.assumptions})
        for (const model::Assumption& assumption : *list)
            assumed.add(assumption_words(facts.speaker.units, assumption) + "\n" + assumption.why,
                        assumption.subject);
    html.raw(
        "<section id=\"assumed\" aria-labelledby=\"assumed-title\">\n<h2 id=\"assumed-title\">Assumed</h2>\n"
        "<p class=\"about\">Values that the case leaves out and that were filled in.</p>\n");
    write_table(
        html, {"assumed-table", "Assumed inputs", {{"Assumed"}, {"Of"}, {"Why"}}}, assumed.lines().size(),
        [&](HtmlRow& row, std::size_t i) {
            const auto& [words, ids] = assumed.lines()[i];
            const std::size_t cut = words.find('\n');
            row.begin().head(words.substr(0, cut)).cell(id_list(ids, 30)).cell(words.substr(cut + 1)).end();
        });
    html.raw(
        "</section>\n<section id=\"warnings\" aria-labelledby=\"warnings-title\">\n"
        "<h2 id=\"warnings-title\">Warnings</h2>\n");
    std::vector<std::string> warnings;
    for (const model::Issue& issue : subject.warnings)
        warnings.push_back(issue_sentence(issue, subject.files));
    for (std::string& sentence : facts.noticed.sentences(gathered_lines))
        warnings.push_back(std::move(sentence));
    write_table(html, {"warning-table", "Warnings", {{"Legal, but look at it"}}}, warnings.size(),
                [&](HtmlRow& row, std::size_t i) { row.begin().cell(warnings[i]).end(); });
    html.raw(
        "</section>\n<section id=\"not-checked\" aria-labelledby=\"not-checked-title\">\n"
        "<h2 id=\"not-checked-title\">Not checked</h2>\n");
    for (const auto& row : facts.not_checked.rows())
        why.add(std::string(rule_name(row.rule)) + "\n" + row.why, element_id(subject.system, row.subject));
    for (const solver::RuleId rule : facts.summary.rules_off)
        why.add(std::string(rule_name(rule)) + "\nswitched off by the limits of this case", "all");
    write_table(
        html, {"not-checked-table", "Not checked", {{"Rule"}, {"Of"}, {"Why"}}}, why.lines().size(),
        [&](HtmlRow& row, std::size_t i) {
            const auto& [words, ids] = why.lines()[i];
            const std::size_t cut = words.find('\n');
            row.begin().head(words.substr(0, cut)).cell(id_list(ids, 30)).cell(words.substr(cut + 1)).end();
        });
    html.raw("</section>\n");
}

}  // namespace evenhead::io
