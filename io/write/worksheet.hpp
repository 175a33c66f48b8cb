// The pressure-loss worksheet as text, JSON and CSV.
#pragma once

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "io/write/sentences.hpp"
#include "solver/worksheet/worksheet.hpp"

namespace evenhead::io {

/// `notes`: sentences that stand above the table (why this head, why another run).
void write_worksheet_text(Output& output, const Speaker& speaker, const solver::Worksheet& worksheet,
                          const std::vector<std::string>& notes, const Page& page);
void write_worksheet_json(Output& output, const Speaker& speaker, const solver::Worksheet& worksheet);
void write_worksheet_csv(Output& output, const Speaker& speaker, const solver::Worksheet& worksheet);

}  // namespace evenhead::io
