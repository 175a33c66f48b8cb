// How long a pipe is by the coordinates of its case.
#pragma once

#include <optional>

#include "model/system.hpp"

namespace evenhead::model {

/// The way in plan from end to end along its bends, m; empty where an end has no coordinates.
std::optional<double> plan_length(const System& system, const Pipe& pipe);

}  // namespace evenhead::model
