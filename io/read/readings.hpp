// Readings in a file of their own, and tables of how likely each fault is: what a diagnosis goes by beside
// the case.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "io/read/case.hpp"
#include "model/faults.hpp"
#include "model/spreads.hpp"

namespace evenhead::io {

/// What a file beside the case holds, read for it. Where `errors` is not empty, nothing of it was taken.
struct FileReading {
    std::vector<std::string> files;    ///< Place::file of the issues
    std::vector<model::Issue> errors;  ///< in the order of the lines
    std::vector<model::Issue> warnings;
};

/// Reads a file of readings (TOML with the tables `readings` and `seen`, or a CSV of readings) against a case
/// whose system is there, names resolved against the case. Its readings take the place of the case's, and
/// what was seen that of the case where the file says anything about it. Never throws for bad input.
FileReading read_readings(const std::string& path, CaseReading& of);

/// Reads a table of the form of the catalogue's faults.txt. `priors` stays empty where it has an error.
FileReading read_priors(const std::string& path, std::optional<model::FaultPriors>& priors);

/// Reads a table of the form of the catalogue's spreads.txt. `spreads` stays empty where it has an error.
FileReading read_spreads(const std::string& path, std::optional<model::Spreads>& spreads);

}  // namespace evenhead::io
