// Readings on site, for the verbs that weigh them.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/read/case.hpp"
#include "io/read/readings.hpp"
#include "io/read/user_tables.hpp"

namespace evenhead::cli {

/// Reads a file of readings (or of priors) in place of the case's own; does nothing where `path` is empty.
/// Where it has errors, lists them all on standard error and throws CaseRefused.
void take_readings(const std::string& path, io::CaseReading& of);
std::optional<model::FaultPriors> take_priors(const std::string& path);

/// The table of spreads at `path`, refused likewise; the catalogue's where it is empty.
model::Spreads take_spreads(const std::string& path);

/// Why a run that was read, or complained of, has no solution as drawn, in sentences; empty where all have
/// one.
std::vector<std::string> unsolved_readings(const model::System& system, const model::Layout& layout,
                                           model::Index complaint);

/// UsageError where the case has no readings, with the way to give them to this verb.
void refuse_without_readings(const model::System& system, const std::string& path, std::string_view verb);

/// Says on standard error why a run that was read has no solution; false where all have one.
bool say_unsolved(const model::System& system, const model::Layout& layout, model::Index complaint);

/// Said where no reading of a case says anything.
inline constexpr std::string_view no_reading_used =
    "none of the readings can be used: what stands in a pipe that is shut off is not known; read where water "
    "runs, or "
    "before a valve that is shut";

}  // namespace evenhead::cli
