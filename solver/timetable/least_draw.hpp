// What a zone draws at the least in any set of valves within limits.
#pragma once

#include <vector>

#include "solver/rules/rules.hpp"
#include "solver/timetable/timetable.hpp"

namespace evenhead::solver {

/// By valve of the list, m: the height before it while it alone draws so much (m3/s) from the mainline; minus
/// infinite where that cannot be.
std::vector<double> heights_before(const model::System& system, const model::Layout& layout,
                                   const std::vector<Index>& valves, double flow);

/// By valve of the list, m3/s: its draw alone where so much height stands before it, or where it stands alone
/// if that is less. `heights` in m.
std::vector<double> draws_at(const model::System& system, const model::Layout& layout,
                             const std::vector<Index>& valves, const std::vector<double>& heights);

}  // namespace evenhead::solver
