// The pressure-loss worksheet as a workbook with live formulas: a sheet for each run, so that a checker can
// follow or change a line by hand.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "io/write/output.hpp"
#include "io/write/sentences.hpp"
#include "model/graph.hpp"
#include "solver/worksheet/worksheet.hpp"

namespace evenhead::io {

/// What the workbook is about; it must outlive the call.
struct WorkbookSubject {
    const Speaker& speaker;
    const model::Layout& layout;
    const std::vector<model::Issue>& warnings;  ///< of reading and of the layout
    const std::vector<std::string>& files;      ///< Place::file
};

/// A line of the summary: one run.
struct WorkbookRun {
    model::Index run = model::none;
    std::optional<solver::Failure> failure;  ///< then nothing below means anything
    double flow = 0;                         ///< m3/s, all heads together
    model::Index head = model::none;         ///< the critical head; none where no head runs
    double pressure = 0;                     ///< Pa at its nozzle
    double margin = 0;                       ///< Pa; NaN where nothing is wanted
    std::size_t outside = 0;                 ///< findings that fail
};

/// One sheet: the way to a head, and the balance that it comes from.
struct WorkbookSheet {
    solver::Worksheet worksheet;
    double head_flow = 0;            ///< m3/s, of that head
    double run_flow = 0;             ///< m3/s, all heads together
    std::vector<model::Index> open;  ///< valves
    solver::Closure closure;
    std::string note;  ///< why this head
};

/// Writes the whole workbook: the summary (where there are `runs`, in their order), a sheet for each of
/// `sheets` in their order, notes, and the charts and constants that the formulas refer to. Same input, same
/// bytes. Throws WriteError.
void write_workbook(Output& output, const WorkbookSubject& subject, const std::vector<WorkbookRun>& runs,
                    const std::vector<WorkbookSheet>& sheets);

}  // namespace evenhead::io
