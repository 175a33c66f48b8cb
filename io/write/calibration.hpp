// What the readings say of values that the case gives with a spread or as "?": for people, as JSON, and as
// edits of the case.
#pragma once

#include <string>
#include <vector>

#include "io/edit/rewrite_case.hpp"
#include "io/write/json_writer.hpp"
#include "io/write/layout.hpp"
#include "io/write/sentences.hpp"
#include "solver/diagnosis/calibration.hpp"

namespace evenhead::io {

/// A paragraph for each value that the readings determine, then one of those that they do not; with a
/// heading. Empty where the case leaves nothing open. `certain`: nothing else is wrong with the system.
std::string calibration_text(const Speaker& speaker, const solver::Calibration& calibration, bool certain,
                             const Page& page);

/// An array: [{input, at, parts?, before, before_sd, after, sd, unit, determined}], with null where the case
/// says "?"; of a size or nozzle `after` is its name, `sd` null, and `candidates` has the chance of each.
void write_calibrated(JsonWriter& json, const model::System& system, const solver::Calibration& calibration);

/// The values that the readings determine, as the case's own cells: "97 +- 4".
std::vector<CellEdit> calibration_edits(const model::System& system, const solver::Calibration& calibration);

}  // namespace evenhead::io
