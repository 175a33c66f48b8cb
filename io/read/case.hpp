// Reads a case into a System: every key checked, every cross reference resolved, every number SI.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "model/watering.hpp"

namespace evenhead::io {

/// A case as read. Either `system` and `layout` are there and `errors` is empty, or errors says all that is wrong.
struct CaseReading {
    std::optional<model::System> system;
    model::Layout layout;
    model::WateringPlan watering;            ///< what zones want, where the case says so
    std::vector<std::string> files;          ///< Place::file
    std::vector<model::Issue> errors;        ///< in the order of file and line
    std::vector<model::Issue> warnings;      ///< of reading and of the layout
};

/// Reads, checks and links a case (TOML and the CSV beside it), then finds its layout. Never throws for bad input.
CaseReading read_case(const std::string& path);

}  // namespace evenhead::io
