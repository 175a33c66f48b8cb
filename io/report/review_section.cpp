// The layout under its conditions: what decides each rule, what is lost when something is shut, how far the
// supply can fall, and what single changes gain.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/report/review_parts.hpp"
#include "io/report/sections.hpp"
#include "io/write/review.hpp"
#include "io/write/review_answer.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;

class Section {
  public:
    Section(Html& html, const Speaker& speaker, const ReviewSubject& subject)
        : html_(html), speaker_(speaker), subject_(subject), review_(subject.review) {}

    void write() {
        const ReviewAnswer answer = review_answer(speaker_, review_);
        html_.raw(fmt::format("<div class=\"verdict {}\">\n", !review_.solved() ? "unsolved"
                                                              : answer.within   ? "within"
                                                                                : "outside"));
        html_.element("p class=\"what\"", answer.verdict).raw("\n");
        for (const std::string& sentence : answer.sentences) html_.element("p", sentence).raw("\n");
        html_.raw("</div>\n");
        heading("conditions", "Conditions");
        html_.raw("<ul class=\"sentences\">\n");
        for (const solver::ReviewCondition& condition : review_.rules.conditions)
            html_.element("li", condition.change.id + ": " + condition_words(speaker_, condition) + ".")
                .raw("\n");
        html_.raw("</ul>\n");
        for (const std::string& sentence : unsolved_sentences(speaker_, review_.rules))
            html_.element("p class=\"over\"", "No solution. " + sentence).raw("\n");
        rules();
        findings();
        claims();
        heading("outage", "Outage");
        outage();
        heading("margins", "Margins and changes");
        margins();
        repairs();
        write_hangs_on(html_, speaker_, subject_);
        write_chances(html_, speaker_, subject_);
        if (subject_.runs_left_out > 0)
            html_
                .element("p", fmt::format("Neither was asked of {}, whose heads have more to spare.",
                                          counted(subject_.runs_left_out, "more run")))
                .raw("\n");
        rule_set();
    }

  private:
    void heading(std::string_view id, std::string_view words) {
        html_.element(fmt::format("h3 id=\"review-{}-title\"", id), words).raw("\n");
    }
    std::string head_id(model::Index head) const {
        return element_id(speaker_.system, {ElementKind::head, head});
    }
    std::string id_of_run(model::Index run) const {
        return run == model::none ? "-" : element_id(speaker_.system, {ElementKind::run, run});
    }
    const std::string& condition_id(std::size_t condition) const {
        return review_.rules.conditions[condition].change.id;
    }
    std::string pressure_unit() const { return std::string(speaker_.units.word(Dimension::pressure)); }

    void rules() {
        const HtmlTable table{"review-rules",
                              "The worst of each rule under each condition",
                              {{"Rule"},
                               {"Condition"},
                               {"Run"},
                               {"Where"},
                               {"Value", "", true},
                               {"Limit", "", true},
                               {"Margin", "", true},
                               {"Decides"}}};
        write_table(html_, table, review_.rules.rows.size(), [&](HtmlRow& line, std::size_t i) {
            const solver::RuleRow& row = review_.rules.rows[i];
            const solver::Worst& worst = row.worst;
            const bool numbers = worst.judged && worst.dimension != Dimension::none;
            const auto number = [&](double si) {
                return numbers && !std::isnan(si) ? speaker_.units.text(si, worst.dimension)
                                                  : std::string("-");
            };
            const std::string run = run_of_row(speaker_.system, row);
            line.begin()
                .head(rule_name(row.rule))
                .cell(condition_id(row.condition))
                .cell(run.empty() ? "-" : run)
                .cell(worst.judged ? element_id(speaker_.system, worst.subject) : "-",
                      worst.fails && !numbers)
                .number(number(worst.value), worst.fails && numbers)
                .number(number(worst.limit))
                .number(margin_number(speaker_.units, worst, true))
                .cell(row.deciding ? (worst.fails ? "yes, fails" : "yes") : "")
                .end();
        });
    }

    void findings() {
        const HtmlTable table{"review-findings",
                              "Findings under the condition that decides, worst first",
                              {{"Rule"}, {"Condition"}, {"Run"}, {"What"}}};
        write_table(html_, table, review_.rules.findings.size(), [&](HtmlRow& line, std::size_t i) {
            const solver::ReviewFinding& row = review_.rules.findings[i];
            line.begin()
                .head(rule_name(row.finding.rule))
                .cell(condition_id(row.condition))
                .cell(id_of_run(row.run))
                .cell(finding_sentence(speaker_, row.finding, nullptr))
                .end();
        });
    }

    void claims() {
        const auto& rows = review_.rules.claims;
        if (rows.empty()) return;
        const HtmlTable table{
            "review-stated",
            "What the drawing states beside what is computed, as given",
            {{"Where"}, {"Run"}, {"Stated", "", true}, {"Computed", "", true}, {"Off by", "", true}}};
        write_table(html_, table, rows.size(), [&](HtmlRow& line, std::size_t i) {
            const solver::Claim& row = rows[i];
            line.begin()
                .head(element_name(speaker_.system, row.subject))
                .cell(id_of_run(row.run))
                .number(speaker_.units.limit(row.stated, row.dimension))
                .number(speaker_.units.text(row.computed, row.dimension))
                .number(claim_off(row), row.fails)
                .end();
        });
    }

    std::string ids(const std::vector<model::Index>& heads) const {
        std::string text;
        for (const model::Index head : heads) text += (text.empty() ? "" : " ") + head_id(head);
        return text.empty() ? "-" : text;
    }
    void outage() {
        const solver::OutageReview& outage = review_.outage;
        std::string tried = fmt::format("Shut in turn, as given: {} and {} of the mainline.",
                                        counted(outage.gates, "gate"), counted(outage.pipes, "pipe"));
        if (outage.left_out > 0) tried += fmt::format(" Not tried, for time: {} more.", outage.left_out);
        html_.element("p", tried).raw("\n");
        const HtmlTable table{"review-outage",
                              "What a gate or pipe takes when it is shut",
                              {{"Shut"}, {"Run"}, {"Dry"}, {"Too low"}}};
        write_table(html_, table, outage.rows.size(), [&](HtmlRow& line, std::size_t i) {
            const solver::Outage& row = outage.rows[i];
            std::vector<model::Index> low;
            for (const model::Index head : row.heads)
                if (std::find(row.dry.begin(), row.dry.end(), head) == row.dry.end()) low.push_back(head);
            line.begin()
                .head(element_id(speaker_.system, row.closed))
                .cell(id_of_run(row.run))
                .cell(row.unsolved ? "no proven solution" : ids(row.dry))
                .cell(ids(low))
                .end();
        });
    }

    void margins() {
        const HtmlTable table{"review-margins",
                              "How far the supply can fall, as given",
                              {{"Head"}, {"Run"}, {"Fall", pressure_unit(), true}, {"Note"}}};
        write_table(html_, table, review_.margins.size(), [&](HtmlRow& line, std::size_t i) {
            const solver::SupplyMargin& row = review_.margins[i];
            line.begin()
                .head(head_id(row.head))
                .cell(id_of_run(row.run))
                .number(speaker_.units.number(row.drop, Dimension::pressure, 1), row.drop < 0)
                .cell(margin_note(row))
                .end();
        });
        if (review_.margins_left_out > 0)
            html_
                .element("p", fmt::format("Not tried, for time: {} more, behind these.",
                                          counted(review_.margins_left_out, "head")))
                .raw("\n");
    }

    void repairs() {
        const HtmlTable table{"review-repairs",
                              "Single changes, each tried",
                              {{"Head"},
                               {"Run"},
                               {"Condition"},
                               {"Change"},
                               {"From"},
                               {"To"},
                               {"Gain", pressure_unit(), true},
                               {"Enough"}}};
        const auto& rows = review_.repairs.rows;
        write_table(html_, table, rows.size(), [&](HtmlRow& line, std::size_t i) {
            const solver::Repair& row = rows[i];
            line.begin()
                .head(head_id(row.head))
                .cell(id_of_run(row.run))
                .cell(condition_id(row.condition))
                .cell(fmt::format("{} {}", repair_kind(row.kind), element_id(speaker_.system, row.subject)))
                .cell(row.from)
                .cell(row.to)
                .number(speaker_.units.number(row.gain, Dimension::pressure))
                .cell(row.mends ? "yes" : "no")
                .end();
        });
        for (const std::string& sentence : repairs_left_out(review_.repairs))
            html_.element("p", sentence).raw("\n");
    }

    void rule_set() {
        heading("set", "Rule set");
        if (speaker_.system.rule_set.empty()) {
            html_
                .element("p",
                         "None: limits are those of this case and of the rules themselves; \"Method and "
                         "sources\" lists them.")
                .raw("\n");
            return;
        }
        html_.element("p", with_dot(speaker_.system.rule_set_about)).raw("\n");
        const std::vector<SetLimit> limits = limits_of_set(speaker_, subject_.layout);
        const HtmlTable table{"review-set",
                              "Limits of the rule set " + speaker_.system.rule_set,
                              {{"Rule"}, {"Limit"}, {"Source"}},
                              false};
        write_table(html_, table, limits.size(), [&](HtmlRow& line, std::size_t i) {
            line.begin().head(limits[i].rule).cell(limits[i].limit).cell(limits[i].source).end();
        });
    }

    Html& html_;
    const Speaker& speaker_;
    const ReviewSubject& subject_;
    const solver::Review& review_;
};

}  // namespace

void write_review_section(const ReportParts& parts) {
    if (parts.answers.review == nullptr) return;
    Html& html = parts.html;
    html.raw(
        "<section id=\"review\" aria-labelledby=\"review-title\">\n<h2 id=\"review-title\">Review</h2>\n");
    Section(html, parts.facts.speaker, *parts.answers.review).write();
    html.raw("</section>\n");
}

}  // namespace evenhead::io
