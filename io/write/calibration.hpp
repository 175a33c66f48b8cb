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

/// What the readings say of the case, a sentence for each value that they determine.
struct CalibrationWords {
    std::vector<std::string> determined;
    std::string open;    ///< what they do not determine, `most_open` of it; empty: nothing
    std::string remark;  ///< that follows, or that nothing fits; may be empty
};
CalibrationWords calibration_words(const Speaker& speaker, const solver::Calibration& calibration,
                                   const std::string& remark, std::size_t most_open);

/// A paragraph for each value that the readings determine, then one of those that they do not; with a
/// heading. Empty where the case leaves nothing open. `remark`: a sentence that follows, or nothing.
std::string calibration_text(const Speaker& speaker, const solver::Calibration& calibration,
                             const std::string& remark, const Page& page);

/// An array: [{input, at, parts?, before, before_sd, after, sd, unit, determined}], with null where the case
/// says "?"; of a size or nozzle `after` is its name, `sd` null, and `candidates` has the chance of each.
void write_calibrated(JsonWriter& json, const model::System& system, const solver::Calibration& calibration);

/// The values that the readings determine, as the case's own cells: "97 +- 4".
std::vector<CellEdit> calibration_edits(const model::System& system, const solver::Calibration& calibration);

}  // namespace evenhead::io
