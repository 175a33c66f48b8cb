#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/workbook/overview_parts.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/issues.hpp"
#include "io/write/layout.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;

constexpr std::size_t most_rows = 500;

class Notes {
  public:
    Notes(Sheet& sheet, const WorkbookSubject& subject, const std::vector<WrittenSheet>& sheets)
        : sheet_(sheet), subject_(subject), system_(subject.speaker.system), sheets_(sheets) {}

    void write() {
        sheet_.width(0, 0, 24);
        sheet_.width(1, 1, 76);
        sheet_.text(0, 0, "Notes", Look::title);
        sheet_.height(0, 22);
        row_ = 2;
        use();
        laws();
        pairs("Assumed", assumptions());
        pairs("Warnings", warnings());
        pairs("How closely it closes", closures());
        section("Cautions");
        std::string words = cautions(Page{true, false, false});
        words.pop_back();
        say(words);
        sheet_.print(print_setup(system_, row_, 1));
    }

  private:
    using Pairs = std::vector<std::pair<std::string, std::string>>;

    void section(const char* words) {
        if (row_ > 2) ++row_;
        sheet_.text(row_, 0, words, Look::section);
        sheet_.text(row_++, 1, "", Look::section);
    }
    void say(const std::string& words) { sheet_.paragraph(row_++, 0, 1, words, Look::wrapped); }

    void pair(const std::pair<std::string, std::string>& row) {
        sheet_.paragraph(row_, 0, 0, row.first, Look::wrapped);
        sheet_.paragraph(row_++, 1, 1, row.second, Look::wrapped);
    }

    void pairs(const char* heading, const Pairs& rows) {
        if (rows.empty()) return;
        section(heading);
        const std::size_t shown = std::min(rows.size(), most_rows);
        for (std::size_t i = 0; i < shown; ++i) {
            pair(rows[i]);
        }
        if (shown < rows.size())
            say(fmt::format("and {} more: check --all lists them.", rows.size() - shown));
    }

    void use() {
        section("How to use this workbook");
        say("Each sheet of a run follows the water from its supply to one head, a row for each thing that "
            "takes or "
            "gives pressure. The shaded cells are inputs: change one, and its line, every pressure below it, "
            "the "
            "margin and the verdict follow. A flow that stays the same from row to row is an input once.");
        say("A changed length, bore or static pressure would change the flows as well. This workbook keeps "
            "them, so "
            "it answers what one line loses. \"Flow at this pressure\" below the table says how far the "
            "nozzle's "
            "flow is from the one assumed; for new flows change the case and balance it again.");
        say("A change on a run's sheet stays on that sheet. Charts and constants are shared by all of them.");
    }

    void laws() {
        section("The laws");
        const Pairs rows{
            {"Hazen-Williams",
             "10.67 L q^1.852 / (C^1.852 D^4.8704), in metres of water, with q in m3/s and L, D in "
             "m; C by material."},
            {"Darcy-Weisbach",
             "f L/D V²/2g; f = 64/Re below Re 2000, Colebrook-White above 4000 (a first guess by "
             "Haaland and three steps of Newton's method, in cells of their own), and between them "
             "straight in the flow."},
            {"k", "k V²/2g in the bore of the line."},
            {"cv, kv",
             "(flow / coefficient)², psi and US gpm for cv, bar and m3/h for kv, with water of 60 degF; in "
             "proportion to density."},
            {"Flow tests",
             "drop below static in proportion to flow^1.852 (flow-test practice, 1/0.54); straight in "
             "it between several tests."},
            {"Charts of loss, pumps",
             "a cubic that never turns: Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 "
             "(1984) 300-304; beyond its rows as its sheet says."},
            {"Nozzles",
             "flow (pressure / row's pressure)^exponent; straight in the logarithms between rows."},
            {"Regulation", "holds its outlet at the pressure set, as long as there is more above it."},
            {"Elevation", "height x density x gravity."},
        };
        const bool hazen_williams = system_.friction == model::FrictionLaw::hazen_williams;
        for (const auto& row : rows)
            if (row.first != (hazen_williams ? "Darcy-Weisbach" : "Hazen-Williams")) pair(row);
    }

    Pairs assumptions() const {
        Pairs rows;
        for (const auto* list : {&system_.assumptions, &subject_.layout.assumptions})
            for (const model::Assumption& assumption : *list) {
                rows.emplace_back(assumption.subject,
                                  assumption_and_reason(subject_.speaker.units, assumption));
            }
        return rows;
    }

    Pairs warnings() const {
        Pairs rows;
        for (const model::Issue& issue : subject_.warnings)
            rows.emplace_back(issue.row, issue_sentence(issue, subject_.files));
        return rows;
    }

    Pairs closures() const {
        const ShownUnits& units = subject_.speaker.units;
        Pairs rows;
        for (const WrittenSheet& written : sheets_) {
            const solver::Closure& closure = written.sheet->closure;
            rows.emplace_back(
                "run " + element_id(system_, {ElementKind::run, written.sheet->worksheet.run}),
                fmt::format("{:.1e} {} on every element, {:.1e} {} at every point, after {}",
                            units.in_unit(closure.pressure, Dimension::pressure),
                            units.word(Dimension::pressure), units.in_unit(closure.flow, Dimension::flow),
                            units.word(Dimension::flow),
                            counted(static_cast<std::size_t>(closure.steps), "step")));
        }
        return rows;
    }

    Sheet& sheet_;
    const WorkbookSubject& subject_;
    const model::System& system_;
    const std::vector<WrittenSheet>& sheets_;
    int row_ = 0;
};

}  // namespace

void write_notes(Sheet& sheet, const WorkbookSubject& subject, const std::vector<WrittenSheet>& sheets) {
    Notes(sheet, subject, sheets).write();
}

}  // namespace evenhead::io
