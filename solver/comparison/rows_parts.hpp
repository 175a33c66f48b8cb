// Which row of one system is which of the other, and which changes belong together.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "solver/comparison/comparison.hpp"

namespace evenhead::solver {

/// Positions in the drawn and the built system; none: it is not there.
using Pair = std::pair<Index, Index>;

/// By table: rows of the drawn system in their order, then those that only the built one has.
struct Matched {
    std::vector<Pair> points, supplies, devices, valves, heads, nozzles, pipes, runs;
};
Matched match_rows(const model::System& drawn, const model::System& built);

/// Sets the group of each change: those of one group are made together.
void group_changes(const model::System& drawn, const model::System& built, std::vector<Change>& changes);

/// A pure number in words: "11.5".
std::string short_number(double value);

}  // namespace evenhead::solver
