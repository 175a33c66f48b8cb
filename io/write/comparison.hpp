// What `compare` writes: what differs between a case as drawn and as built, and what it does to the heads
// that decide.
#pragma once

#include <string>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "io/write/sentences.hpp"
#include "model/system.hpp"
#include "solver/comparison/comparison.hpp"

namespace evenhead::io {

struct ComparisonSubject {
    const model::System &drawn, &built;
    const solver::Comparison& comparison;
    std::string drawn_path, built_path;  ///< as the reader of the text would type them
};

/// What the changes do, before the tables say it one by one.
struct ComparisonAnswer {
    std::string words;   ///< "4 changes. Head L4 in run lawn loses most: 36.2 psi drawn, 31.0 psi built."
    bool loses = false;  ///< a head that decides as drawn has less as built, or none
    const solver::ComparedHead* look_at = nullptr;  ///< the one that lost most and still runs; may be null
};
/// `drawn`: the drawn case.
ComparisonAnswer comparison_answer(const Speaker& drawn, const solver::Comparison& comparison);

/// The run that the change does most to; one that it leaves dry comes first. Null: it does nothing anywhere.
const solver::ChangeEffect* main_effect(const solver::Change& change);

/// All in the units of the drawn case. Throws WriteError, as all of these.
void write_comparison_text(Output& output, const ComparisonSubject& subject, const Page& page);
void write_comparison_json(Output& output, const ComparisonSubject& subject);
void write_comparison_csv(Output& output, const ComparisonSubject& subject);

}  // namespace evenhead::io
