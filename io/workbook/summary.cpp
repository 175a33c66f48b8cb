#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "io/workbook/formulas_parts.hpp"
#include "io/workbook/overview_parts.hpp"
#include "io/write/finding_list.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;

constexpr int heading_row = 4, columns = 8;

class Summary {
  public:
    Summary(Sheet& sheet, const WorkbookSubject& subject, const std::vector<WorkbookRun>& runs,
            const std::vector<WrittenSheet>& sheets)
        : sheet_(sheet), speaker_(subject.speaker), system_(speaker_.system), runs_(runs), sheets_(sheets) {}

    void write() {
        top();
        int row = heading_row;
        headings(row++);
        for (const WorkbookRun& run : runs_) line(row++, run);
        verdict_line(row - 1);
        notes(row + 1);
    }

  private:
    std::string id(ElementKind kind, model::Index index) const { return element_id(system_, {kind, index}); }
    double pressure(double si) const { return speaker_.units.in_unit(si, Dimension::pressure); }

    void top() {
        sheet_.width(0, 0, 22);
        sheet_.width(1, 1, 11);
        sheet_.width(2, 2, 18);
        sheet_.width(3, 5, 11);
        sheet_.width(6, 6, 20);
        sheet_.width(7, 7, 12);
        sheet_.text(0, 0, system_.title.empty() ? "Sprinkler system" : system_.title, Look::title);
        sheet_.height(0, 22);
        sheet_.text(1, 0, "Pressure at the critical head of every run, worst first", Look::text);
        std::string details = job_and_date(system_);
        if (!details.empty()) details += ". ";
        std::vector<std::string> supplies;
        for (std::size_t i = 0; i < system_.supplies.size(); ++i)
            supplies.push_back(id(ElementKind::supply, static_cast<model::Index>(i)));
        details += (supplies.size() == 1 ? "Supply " : "Supplies ") + id_list(supplies, 6);
        sheet_.text(2, 0, details + ".", Look::text);
    }

    void headings(int row) {
        const std::string psi(speaker_.units.word(Dimension::pressure)),
            gpm(speaker_.units.word(Dimension::flow));
        const std::array<std::string, columns> words{"Run",
                                                     "Flow\n" + gpm,
                                                     "Critical head",
                                                     "Pressure\n" + psi,
                                                     "Wanted\n" + psi,
                                                     "Margin\n" + psi,
                                                     "Verdict",
                                                     "Findings\nof check"};
        for (int column = 0; column < columns; ++column)
            sheet_.text(row, column, words[static_cast<std::size_t>(column)],
                        column == 0                  ? Look::heading_left
                        : column == 2 || column == 6 ? Look::heading_note
                                                     : Look::heading);
        sheet_.height(row, 30);
    }

    void line(int row, const WorkbookRun& run) {
        sheet_.blank(row, 1, columns - 1, Look::row);
        const std::string name = id(ElementKind::run, run.run);
        const auto found = std::find_if(sheets_.begin(), sheets_.end(), [&](const WrittenSheet& written) {
            return written.sheet->worksheet.run == run.run;
        });
        if (found == sheets_.end())
            sheet_.text(row, 0, name, Look::label);
        else
            sheet_.link(row, 0, name, found->name);
        if (run.failure) {
            sheet_.text(row, 6, "no proven solution", Look::bad_text);
            return;
        }
        const std::string of_flow = speaker_.units.number(0, Dimension::flow),
                          of_pressure = speaker_.units.number(0, Dimension::pressure, 1);
        const double flow = speaker_.units.in_unit(run.flow, Dimension::flow);
        if (found != sheets_.end())
            sheet_.formula(row, 1, found->cells.flow, flow, Look::result, of_flow);
        else
            sheet_.number(row, 1, flow, Look::result, of_flow);
        sheet_.number(row, 7, static_cast<double>(run.outside), Look::result, "0");
        if (run.head == model::none) {
            sheet_.text(row, 6, "no water", Look::bad_text);
            return;
        }
        sheet_.text(row, 2, id(ElementKind::head, run.head), Look::note);
        if (found == sheets_.end()) {
            sheet_.number(row, 3, pressure(run.pressure), Look::result, of_pressure);
            sheet_.number(row, 4, pressure(run.pressure - run.margin), Look::result, of_pressure);
            sheet_.number(row, 5, pressure(run.margin), Look::result, of_pressure);
        } else {
            const solver::Worksheet& worksheet = found->sheet->worksheet;
            sheet_.formula(row, 3, found->cells.pressure, pressure(worksheet.pressure), Look::result,
                           of_pressure);
            if (!found->cells.margin.empty()) {
                sheet_.formula(row, 4, found->cells.wanted, pressure(worksheet.wanted), Look::result,
                               of_pressure);
                sheet_.formula(row, 5, found->cells.margin, pressure(worksheet.margin), Look::result,
                               of_pressure);
            }
        }
        if (std::isnan(run.margin)) {
            sheet_.text(row, 6, "nothing is wanted", Look::note);
            return;
        }
        sheet_.words(row, 6, verdict_formula(cell_name(row, 5)), verdict(run.margin), Look::note);
        sheet_.warn_below_zero(row, 5);
    }

    /// Above the table: in how many runs the critical head gets too little.
    void verdict_line(int last) {
        const std::string few = fmt::format("COUNTIF({}:{},\"<-0.0000005\")",
                                            cell_name(heading_row + 1, 5, true), cell_name(last, 5, true));
        const auto count = std::count_if(runs_.begin(), runs_.end(), [](const WorkbookRun& run) {
            return !run.failure && run.margin < 0;
        });
        const auto failed = std::count_if(runs_.begin(), runs_.end(),
                                          [](const WorkbookRun& run) { return run.failure.has_value(); });
        const std::string unsolved = failed == 0 ? "" : fmt::format("; {} without a proven solution", failed);
        const std::string every = "Enough pressure at every critical head" + unsolved,
                          some = fmt::format(" of {} with too little pressure{}",
                                             counted(runs_.size(), "run"), unsolved);
        sheet_.words(3, 0, fmt::format("IF({0}=0,\"{1}\",{0}&\"{2}\")", few, every, some),
                     count == 0 ? every : std::to_string(count) + some, Look::verdict);
        sheet_.height(3, 20);
    }

    void notes(int row) {
        const auto say = [&](const std::string& words, Look look) {
            sheet_.paragraph(row++, 0, columns - 1, words, look);
        };
        for (const WorkbookRun& run : runs_) {
            if (!run.failure) continue;
            std::string words = fmt::format("Run {} has no proven solution.", id(ElementKind::run, run.run));
            for (const std::string& sentence : failure_sentences(speaker_, *run.failure))
                words += " " + sentence;
            say(words, Look::wrapped);
        }
        if (sheets_.size() < runs_.size()) {
            const auto solved = static_cast<std::size_t>(std::count_if(
                runs_.begin(), runs_.end(),
                [](const WorkbookRun& run) { return !run.failure && run.head != model::none; }));
            if (sheets_.size() < solved)
                say(fmt::format("The {} with the least margin have a sheet; of the others this table gives "
                                "the numbers "
                                "of the balance. A sheet of another: worksheet with --run.",
                                counted(sheets_.size(), "run")),
                    Look::wrapped);
        }
        say("Pressures, margins and verdicts follow the sheets of the runs. The findings of check (pressure, "
            "spread, "
            "velocity and the other rules) are a count of what is outside limits in the balance; they do not "
            "follow.",
            Look::small);
        say("Whether the system may be built is decided by the local code and a licensed irrigator or "
            "engineer. For "
            "irrigation sprinklers, not for fire protection.",
            Look::small);
        sheet_.print(print_setup(system_, row, columns - 1, heading_row));
    }

    Sheet& sheet_;
    const Speaker& speaker_;
    const model::System& system_;
    const std::vector<WorkbookRun>& runs_;
    const std::vector<WrittenSheet>& sheets_;
};

}  // namespace

void write_summary(Sheet& sheet, const WorkbookSubject& subject, const std::vector<WorkbookRun>& runs,
                   const std::vector<WrittenSheet>& sheets) {
    Summary(sheet, subject, runs, sheets).write();
}

}  // namespace evenhead::io
