// Drawn against built: what differs, what each difference does to a head that decides, and how those heads do
// in both.
#include <fmt/format.h>

#include <cmath>

#include "io/report/sections.hpp"
#include "io/write/change_words.hpp"
#include "io/write/comparison.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::Change;
using solver::ChangeEffect;
using solver::ComparedHead;
using solver::ElementKind;

constexpr double little = 50;  // Pa: no loss that anybody would read

class Section {
  public:
    Section(Html& html, const ComparisonSubject& subject)
        : html_(html),
          subject_(subject),
          drawn_{subject.drawn, ShownUnits::of_text(subject.drawn)},
          built_{subject.built, ShownUnits::of_text(subject.drawn)},
          words_(drawn_, built_),
          unit_(drawn_.units.word(Dimension::pressure)) {}

    void write() {
        const ComparisonAnswer answer = comparison_answer(drawn_, subject_.comparison);
        html_.raw(fmt::format("<div class=\"verdict {}\">\n", answer.loses ? "outside" : "within"));
        html_.element("p class=\"what\"", answer.words).raw("\n");
        html_
            .element("p", fmt::format("This page is of the case as drawn; as built: {}.",
                                      case_title(subject_.built, subject_.built_path)))
            .raw("\n</div>\n");
        changes();
        deciding();
    }

  private:
    std::string head_id(model::Index head) const {
        return element_id(drawn_.system, {ElementKind::head, head});
    }
    std::string gain(double si, std::string_view unknown) const {
        if (std::isnan(si)) return std::string(unknown);
        return (si > 0 ? "+" : "") + drawn_.units.number(si, Dimension::pressure);
    }

    /// What is made together with it, or why it cannot be made alone.
    std::string remark(const Change& change) const {
        std::string with;
        for (const Change& other : subject_.comparison.changes)
            if (&other != &change && other.group == change.group)
                with += fmt::format("{}{} {}", with.empty() ? "with " : ", ", words_.name(other),
                                    ChangeWords::kind(other));
        if (change.not_alone.empty()) return with;
        return fmt::format("cannot be made alone{}{}: {}", with.empty() ? "" : " ", with, change.not_alone);
    }

    void changes() {
        const auto& all = subject_.comparison.changes;
        const HtmlTable table{"changes-table",
                              "What differs, what costs a deciding head most first",
                              {{"What"},
                               {"Change"},
                               {"Of its"},
                               {"Drawn"},
                               {"Built"},
                               {"Head"},
                               {"Run"},
                               {"Alone", unit_, true},
                               {"With all", unit_, true},
                               {"Remark"}}};
        write_table(html_, table, all.size(), [&](HtmlRow& line, std::size_t i) {
            const Change& change = all[i];
            const ChangeEffect* effect = main_effect(change);
            const auto side = [&](const solver::ChangeValue& of) {
                const std::string text = words_.value(change, of);
                return text.empty() ? std::string("-") : text;
            };
            line.begin()
                .head(sentence_case(words_.name(change)))
                .cell(ChangeWords::kind(change))
                .cell(change.key.empty() ? "-" : ChangeWords::key(change))
                .cell(side(change.from))
                .cell(side(change.to))
                .cell(effect == nullptr ? "-" : head_id(effect->head))
                .cell(effect == nullptr ? "-" : drawn_.system.runs[at(effect->run)].id)
                .number(effect == nullptr ? (change.not_alone.empty() ? "0" : "-")
                                          : gain(effect->alone, "no water"),
                        effect != nullptr && !(effect->alone > -little))
                .number(effect == nullptr ? "-" : gain(effect->together, "none"),
                        effect != nullptr && !(effect->together > -little))
                .cell(remark(change))
                .end();
        });
    }

    void deciding() {
        const auto& heads = subject_.comparison.deciding;
        const HtmlTable table{"compared-table",
                              "Heads that decide as drawn",
                              {{"Run"},
                               {"Head"},
                               {"Drawn", unit_, true},
                               {"Built", unit_, true},
                               {"Needs", unit_, true},
                               {"Lowest as built"},
                               {"there", unit_, true}}};
        const auto number = [&](double si) { return drawn_.units.number(si, Dimension::pressure); };
        write_table(html_, table, heads.size(), [&](HtmlRow& line, std::size_t i) {
            const ComparedHead& of = heads[i];
            line.begin()
                .head(drawn_.system.runs[at(of.run)].id)
                .cell(head_id(of.head))
                .number(number(of.drawn), of.drawn < of.wanted)
                .number(std::isnan(of.built) ? "none" : number(of.built),
                        std::isnan(of.built) || of.built < of.wanted)
                .number(number(of.wanted))
                .cell(of.built_head == model::none
                          ? "-"
                          : element_id(built_.system, {ElementKind::head, of.built_head}))
                .number(number(of.built_pressure))
                .end();
        });
    }

    Html& html_;
    const ComparisonSubject& subject_;
    Speaker drawn_, built_;
    ChangeWords words_;
    const std::string unit_;
};

}  // namespace

void write_comparison_section(const ReportParts& parts) {
    if (parts.answers.comparison == nullptr) return;
    Html& html = parts.html;
    html.raw(
        "<section id=\"comparison\" aria-labelledby=\"comparison-title\">\n<h2 id=\"comparison-title\">Drawn "
        "against built</h2>\n");
    Section(html, *parts.answers.comparison).write();
    html.raw("</section>\n");
}

}  // namespace evenhead::io
