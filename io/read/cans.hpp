// A file of catch cans: what stood in them, where they stood, and for how long the zone ran.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "io/read/file_reading.hpp"
#include "solver/coverage/cans.hpp"

namespace evenhead::io {

/// What the command line says for all cans that say nothing themselves.
struct CanOptions {
    std::optional<double> duration;  ///< s, for which the zone ran
    std::optional<double> opening;   ///< m2, of a can
};

/// Of the command line: "20" (minutes) or "1 h"; an opening "16.6" (in2 or cm2) or "100 cm2". Nothing where
/// it is not one, or not above zero.
std::optional<double> can_duration(std::string_view text, model::UnitSystem units);
std::optional<double> can_opening(std::string_view text, model::UnitSystem units);

/// Reads a CSV of cans with the keys x, y, valve, depth or volume, duration, and area or diameter of the
/// opening. A can without valve stands in the one zone whose ground holds it. `cans` stays empty where the
/// file has an error.
FileReading read_cans(const std::string& path, const model::System& system,
                      const std::vector<solver::ZoneCoverage>& zones, const CanOptions& options,
                      std::vector<solver::CatchCan>& cans);

}  // namespace evenhead::io
