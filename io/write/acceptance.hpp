// What `accept` writes: each reading beside what the case foretells, what may lie between them, and whether
// it does.
#pragma once

#include <string>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "model/spreads.hpp"
#include "model/system.hpp"
#include "solver/acceptance/acceptance.hpp"

namespace evenhead::io {

struct AcceptanceSubject {
    const model::System& system;  ///< its readings are those that were judged
    const solver::Acceptance& acceptance;
    const model::Spreads& spreads;  ///< that were taken where the case gives none
    std::string case_path,
        readings_path;  ///< as the reader of the text would type them; the latter may be empty
};

/// What is allowed and what it comes from, in sentences.
std::string allowed_words(const solver::Acceptance& acceptance);

/// Throws WriteError, as all of these.
void write_acceptance_text(Output& output, const AcceptanceSubject& subject, const Page& page);
void write_acceptance_json(Output& output, const AcceptanceSubject& subject);
void write_acceptance_csv(Output& output, const AcceptanceSubject& subject);

}  // namespace evenhead::io
