// What `accept` writes: each reading beside what the case foretells, what may lie between them, and whether
// it does.
#pragma once

#include <string>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "io/write/sentences.hpp"
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

/// "Not accepted: 3 of 23 readings outside what is allowed."
std::string acceptance_verdict(const solver::Acceptance& acceptance);
/// The reading that lies farthest off for what is allowed. There is at least one.
std::string farthest_words(const Speaker& speaker, const solver::Acceptance& acceptance);
/// Measured less predicted with its sign: "+1.2".
std::string off_words(const ShownUnits& units, const solver::AcceptedReading& reading);
/// Readings that cannot be judged, and why; empty where all are.
std::string unused_words(const Speaker& speaker, const solver::Acceptance& acceptance);
/// What is allowed and what it comes from, in sentences.
std::string allowed_words(const solver::Acceptance& acceptance);

/// Throws WriteError, as all of these.
void write_acceptance_text(Output& output, const AcceptanceSubject& subject, const Page& page);
void write_acceptance_json(Output& output, const AcceptanceSubject& subject);
void write_acceptance_csv(Output& output, const AcceptanceSubject& subject);

}  // namespace evenhead::io
