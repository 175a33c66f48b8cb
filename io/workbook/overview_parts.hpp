// The sheets around those of the runs: the summary before them, the notes behind.
#pragma once

#include <vector>

#include "io/workbook/run_sheet_parts.hpp"

namespace evenhead::io {

/// A run that has a sheet.
struct WrittenSheet {
    const WorkbookSheet* sheet = nullptr;
    std::string name;
    ResultCells cells;
};

/// `sheets` in the order of the workbook.
void write_summary(Sheet& sheet, const WorkbookSubject& subject, const std::vector<WorkbookRun>& runs,
                   const std::vector<WrittenSheet>& sheets);
void write_notes(Sheet& sheet, const WorkbookSubject& subject, const std::vector<WrittenSheet>& sheets);

}  // namespace evenhead::io
