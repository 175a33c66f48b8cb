// The sheet of one run: a row for each line of the worksheet, each with its law as a formula.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "io/workbook/lines_parts.hpp"
#include "io/workbook/workbook.hpp"

namespace evenhead::io {

/// The columns of a sheet, from the left. All sheets of a workbook have the same; what no line of any needs
/// is left out.
enum class Column {
    way,
    flow,
    bore,
    length,
    friction,
    k,
    share,
    coefficient,
    set,
    elevation,
    velocity,
    change,
    pressure,
    law,
    gap,
    // On the way to a result, and not printed:
    chart_row,
    chart_share,
    chart_start,
    chart_end,
    slope_start,
    slope_end,
    reynolds,
    root_0,
    root_1,
    root_2,
    root_3,
    factor,
};

/// What a sheet will hold, found before any is written.
struct SheetPlan {
    const WorkbookSheet* sheet = nullptr;
    std::vector<LineInputs> inputs;  ///< by line
    std::size_t nozzle = 0;          ///< its chart
    std::string name;
};

class ColumnList {
  public:
    /// The columns that these sheets need.
    explicit ColumnList(const std::vector<SheetPlan>& plans, const ChartList& charts);
    bool has(Column column) const { return places_.contains(column); }
    int operator[](Column column) const { return places_.at(column); }
    int last_printed() const { return places_.at(Column::law); }
    const std::map<Column, int>& places() const { return places_; }

  private:
    std::map<Column, int> places_;
};

SheetPlan plan_sheet(const Speaker& speaker, const WorkbookSheet& sheet, ChartList& charts);

/// The cells that the summary refers to.
struct ResultCells {
    std::string flow, pressure, wanted, margin;  ///< `wanted` and `margin` empty: nothing is wanted
};
ResultCells write_run_sheet(Sheet& sheet, const WorkbookSubject& subject, const SheetPlan& plan,
                            const ColumnList& columns, const ChartList& charts);

/// "Job 12, 2024-05-01"; empty where the case says neither.
std::string job_and_date(const model::System& system);
bool uses_letter_paper(const model::System& system);
/// With title, job and date above every page.
PrintSetup print_setup(const model::System& system, int last_row, int last_column, int heading_row = -1);

}  // namespace evenhead::io
