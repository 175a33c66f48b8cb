#include "io/workbook/workbook.hpp"

#include "io/workbook/charts_parts.hpp"
#include "io/workbook/constants_parts.hpp"
#include "io/workbook/overview_parts.hpp"

namespace evenhead::io {

void write_workbook(Output& output, const WorkbookSubject& subject, const std::vector<WorkbookRun>& runs,
                    const std::vector<WorkbookSheet>& sheets) {
    const Speaker& speaker = subject.speaker;
    const bool letter = uses_letter_paper(speaker.system);
    Book book(speaker.system.title);
    const std::string summary_name = runs.empty() ? std::string() : book.reserve("Summary"),
                      notes_name = book.reserve("Notes"), charts_name = book.reserve("Charts"),
                      constants_name = book.reserve("Constants");

    ChartList charts(speaker.units);
    std::vector<SheetPlan> plans;
    for (const WorkbookSheet& sheet : sheets) {
        plans.push_back(plan_sheet(speaker, sheet, charts));
        // With a blank in it the name is quoted wherever it is referred to: "4" or "A1" alone would be a
        // number or a cell.
        plans.back().name = book.reserve(
            "Run " + element_id(speaker.system, {solver::ElementKind::run, sheet.worksheet.run}));
    }
    const ColumnList columns(plans, charts);

    // The summary stands first, but is written when the cells that it refers to are known.
    std::optional<Sheet> summary;
    if (!runs.empty()) summary.emplace(book.add(summary_name));
    std::vector<WrittenSheet> written;
    for (const SheetPlan& plan : plans) {
        Sheet sheet = book.add(plan.name);
        written.push_back({plan.sheet, plan.name, write_run_sheet(sheet, subject, plan, columns, charts)});
    }
    if (summary) write_summary(*summary, subject, runs, written);
    Sheet notes = book.add(notes_name);
    write_notes(notes, subject, written);
    if (!charts.tables().empty()) {
        Sheet sheet = book.add(charts_name);
        write_charts(book, sheet, charts, speaker.units, letter);
    }
    Sheet constants = book.add(constants_name);
    write_constants(book, constants, speaker, letter);
    book.write_to(output);
}

}  // namespace evenhead::io
