// A table of what a take-off counts with, from a file of its own.
#pragma once

#include <optional>
#include <string>

#include "io/read/readings.hpp"
#include "model/takeoff/rules.hpp"

namespace evenhead::io {

/// Reads a table of the form of model/catalogue/takeoff.txt; `rules` stays empty where something is wrong
/// with it.
FileReading read_takeoff_table(const std::string& path, std::optional<model::TakeoffRules>& rules);

}  // namespace evenhead::io
