// Tables of the user's own, of the form of those that are compiled in.
#pragma once

#include <optional>
#include <string>

#include "io/read/file_reading.hpp"
#include "model/crew_table.hpp"
#include "model/faults.hpp"
#include "model/spreads.hpp"
#include "model/takeoff/rules.hpp"

namespace evenhead::io {

/// Reads a table of the form of the catalogue's faults.txt. `priors` stays empty where it has an error.
FileReading read_priors(const std::string& path, std::optional<model::FaultPriors>& priors);

/// Reads a table of the form of the catalogue's spreads.txt. `spreads` stays empty where it has an error.
FileReading read_spreads(const std::string& path, std::optional<model::Spreads>& spreads);

/// Reads a table of the form of the catalogue's takeoff.txt. `rules` stays empty where it has an error.
FileReading read_takeoff_table(const std::string& path, std::optional<model::TakeoffRules>& rules);

/// Reads a table of the form of the catalogue's crew.txt. `table` stays empty where it has an error.
FileReading read_crew_table(const std::string& path, std::optional<model::CrewTable>& table);

}  // namespace evenhead::io
