// What `size` prints: the answer first, then the sizes, what binds and what limits cost.
#pragma once

#include <string>
#include <vector>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "model/graph.hpp"
#include "model/system.hpp"
#include "solver/sizing/sizing.hpp"

namespace evenhead::io {

struct SizingSubject {
    const solver::SizingProblem& problem;
    const solver::Sizing& sizing;
    std::string case_path;   ///< as the reader of the text would type it
    std::string sized_path;  ///< where the sized case was written; empty: nowhere
};

/// Throws WriteError, as does the other.
void write_sizing_text(Output& output, const SizingSubject& subject, const Page& page);
void write_sizing_json(Output& output, const SizingSubject& subject);

/// A cost: "1,234.56", or for walls "0.0123 m3".
std::string cost_words(solver::CostBasis basis, double cost);

}  // namespace evenhead::io
