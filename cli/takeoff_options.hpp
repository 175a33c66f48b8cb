// Options that every verb takes that counts by the take-off's rules.
#pragma once

#include <string>

#include "model/takeoff/takeoff.hpp"

namespace evenhead::cli {

/// The rules of the table at `path`, those that ship where it is empty. A table with errors is refused.
model::TakeoffRules read_takeoff_rules_or_refuse(const std::string& path);

/// Where the wires begin by --controller: a point of the case, or "x y" where nobody has drawn one. Empty:
/// nobody asked. Throws UsageError.
model::TakeoffOptions wires_from(const std::string& controller, const model::System& system);

}  // namespace evenhead::cli
