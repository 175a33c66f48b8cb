// What the JSON of every verb says in the same words.
#pragma once

#include <string>
#include <vector>

#include "io/write/json_writer.hpp"
#include "io/write/not_checked.hpp"
#include "io/write/shown_units.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// Elements of an open array: an object for each assumption, on a line of its own.
void assumptions_json(JsonWriter& json, const ShownUnits& units, const std::vector<model::Assumption>& rows);

/// The keys rules_off and not_checked.
void not_judged_json(JsonWriter& json, const model::System& system, const std::vector<solver::RuleId>& off,
                     const std::vector<solver::NotChecked>& not_checked);

/// Elements of an open array: an object for each warning of a reading.
void warnings_json(JsonWriter& json, const std::vector<model::Issue>& warnings,
                   const std::vector<std::string>& files);

}  // namespace evenhead::io
