// Ways along the pipes, for what the crew does in order: who is near, who is far. Not installed: the sheets
// use it.
#pragma once

#include <unordered_map>
#include <vector>

#include "model/graph.hpp"

namespace evenhead::solver {

using model::Index;

/// Shortest ways, m, from some points along some pipes; points that no way leads to are not in it. A length
/// that is not known counts as 0.
using Ways = std::unordered_map<Index, double>;
Ways ways_along(const model::System& system, const std::vector<Index>& pipes, const std::vector<Index>& from);

/// From the supplies, past valves and devices in either direction.
Ways ways_from_supplies(const model::System& system);

/// By valve: the pipes of its zone.
std::vector<std::vector<Index>> pipes_by_zone(const model::System& system, const model::Layout& layout);

/// These points, the nearest first; equally near ones in the order of the case. Those without a way last.
std::vector<Index> nearest_first(std::vector<Index> points, const Ways& ways);

/// Where the way to a point is not known: infinity.
double way_to(const Ways& ways, Index point);

}  // namespace evenhead::solver
