// The pressure-loss worksheet as text, JSON and CSV.
#pragma once

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "io/write/sentences.hpp"
#include "solver/worksheet/worksheet.hpp"

namespace evenhead::io {

/// "T1-lawn" (bore and length say that it is a pipe), "valve lawn"; what belongs to the line before (may be
/// null) is set in under it by two blanks.
std::string worksheet_label(const Speaker& speaker, const solver::WorksheetLine& line,
                            const solver::WorksheetLine* before);

/// `notes`: sentences that stand above the table (why this head, why another run).
void write_worksheet_text(Output& output, const Speaker& speaker, const solver::Worksheet& worksheet,
                          const std::vector<std::string>& notes, const Page& page);
void write_worksheet_json(Output& output, const Speaker& speaker, const solver::Worksheet& worksheet);
void write_worksheet_csv(Output& output, const Speaker& speaker, const solver::Worksheet& worksheet);

}  // namespace evenhead::io
