// What `worksheet` is asked, for the files that answer it.
#pragma once

#include <string>
#include <vector>

#include "cli/verb.hpp"
#include "io/workbook/workbook.hpp"
#include "solver/worksheet/worksheet.hpp"

namespace evenhead::cli {

struct WorksheetCommand {
    std::string path, head, run;
    int threads = 0;
    bool quiet = false, verbose = false;
    OutputOptions output;
};

/// A sheet of a workbook, from a balanced run and the worksheet of one of its heads.
io::WorkbookSheet workbook_sheet(const solver::RunResult& result, solver::Worksheet worksheet,
                                 const std::vector<std::string>& notes);

/// A workbook with a sheet for the critical head of each run, and a summary of all runs.
Status worksheet_of_every_run(const WorksheetCommand& command, const io::CaseReading& reading);

}  // namespace evenhead::cli
