// What a head's pressure hangs on, as a piece of a longer answer.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "io/write/json_writer.hpp"
#include "io/write/layout.hpp"
#include "io/write/sentences.hpp"
#include "solver/review/sensitivity.hpp"

namespace evenhead::io {

/// A table of the ten inputs that matter most for each head (with page.all of every one).
std::string sensitivity_text(const Speaker& speaker, const solver::HeadSensitivity& of, const Page& page);

/// The key `sensitivity` of the object that is open: a row for each derivative of each head.
void sensitivity_json(JsonWriter& json, const Speaker& speaker,
                      const std::vector<solver::HeadSensitivity>& all);

/// "supply", "pipe" ...
std::string_view input_table(const solver::InputSubject& subject);
/// The id of what an input belongs to.
std::string input_id(const model::System& system, const solver::InputSubject& subject);

/// One line of the table: "static of supply street", "62.0 psi", "+1 psi", "+0.8".
struct SensitivityLine {
    std::string input, now, step, gain;
};
SensitivityLine sensitivity_line(const Speaker& speaker, const solver::Derivative& derivative);

}  // namespace evenhead::io
