// The system under a condition of the case: low supply, worn nozzles, rough pipe, what is shut.
#pragma once

#include "model/system.hpp"

namespace evenhead::solver {

/// A copy of the system with the condition's changes made. A pump that is off is shut. A share of a supply's
/// pressure is taken of its static and residual pressures alike.
model::System under_condition(const model::System& system, const model::Condition& condition);

/// What the condition makes of a pipe size: its C.
void change_size(model::PipeSize& size, const model::Condition& condition);

}  // namespace evenhead::solver
