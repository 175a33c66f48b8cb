// Readings in a file of their own, read against a case.
#pragma once

#include <string>

#include "io/read/case.hpp"
#include "io/read/file_reading.hpp"

namespace evenhead::io {

/// Reads a file of readings (TOML with the tables `readings` and `seen`, or a CSV of readings) against a case
/// whose system is there, names resolved against the case. Its readings take the place of the case's, and
/// what was seen that of the case where the file says anything about it. Never throws for bad input.
FileReading read_readings(const std::string& path, CaseReading& of);

}  // namespace evenhead::io
