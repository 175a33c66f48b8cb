// What `compare` writes: what differs between a case as drawn and as built, and what it does to the heads
// that decide.
#pragma once

#include <string>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "model/system.hpp"
#include "solver/comparison/comparison.hpp"

namespace evenhead::io {

struct ComparisonSubject {
    const model::System &drawn, &built;
    const solver::Comparison& comparison;
    std::string drawn_path, built_path;  ///< as the reader of the text would type them
};

/// All in the units of the drawn case. Throws WriteError, as all of these.
void write_comparison_text(Output& output, const ComparisonSubject& subject, const Page& page);
void write_comparison_json(Output& output, const ComparisonSubject& subject);
void write_comparison_csv(Output& output, const ComparisonSubject& subject);

}  // namespace evenhead::io
