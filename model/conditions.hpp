// The system under a condition: weak or strong supply, worn nozzles, rough pipe, warm water, what is shut.
#pragma once

#include "model/system.hpp"

namespace evenhead::model {

/// A copy of the system with the condition's changes made; every position means the same in it. A change of
/// supply moves static and residual pressures together, never below 0 (Pa); open water (static 0) has none to
/// lose or gain. C by kind replaces what a change of every C makes. A pump that is off passes nothing.
System under_condition(const System& system, const Condition& condition);

/// What the condition makes of a pipe size: its C.
void change_size(PipeSize& size, const Condition& condition);

/// Every supply's pressures moved by so much (Pa), as a condition does it.
Condition supply_change(std::string id, double change);

/// The change of pressure by which a supply is taken to be weaker in its worst season, Pa, negative: 10 psi,
/// or 70 kPa in metric cases. Common practice.
double usual_supply_drop(const System& system);

/// True where some supply has pressure of its own: open water has none to lose.
bool has_supply_pressure(const System& system);

}  // namespace evenhead::model
