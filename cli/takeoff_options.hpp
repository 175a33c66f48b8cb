// Options that every verb takes that counts by the take-off's rules.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "model/takeoff/takeoff.hpp"

namespace evenhead::cli {

/// The rules of the table at `path`, those that ship where it is empty. A table with errors is refused.
model::TakeoffRules read_takeoff_rules_or_refuse(const std::string& path);

/// Adds --controller, which may be given again.
CLI::Option* add_controller_option(CLI::App& verb, std::vector<std::string>& controllers);

/// Where the wires begin by --controller: points of the case, or "x y" where nobody has drawn one. Empty:
/// nobody asked. Throws UsageError.
model::TakeoffOptions wires_from(const std::vector<std::string>& controllers, const model::System& system);

}  // namespace evenhead::cli
