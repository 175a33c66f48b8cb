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

/// The built system with the names of the drawn one where a row is the same but for its name.
struct Aligned {
    model::System built;
    std::vector<Change> renamed;
};
Aligned align_names(const model::System& drawn, const model::System& built);

/// C or roughness of a pipe where its row says it otherwise than its kind has it.
model::OptionalQuantity own_number(const model::System& system, const model::PipeSize& size,
                                   model::Quantity model::PipeSize::*number);

/// True where the length of a pipe is the way between the coordinates of its ends.
bool length_from_coordinates(const model::System& system, const model::Pipe& pipe);

/// What is usual for a device of this type where its row does not say it.
bool usually_one_way(model::DeviceType type);

/// Sets the group of each change: those of one group are made together.
void group_changes(const model::System& drawn, const model::System& built, std::vector<Change>& changes);

/// A pure number in words: "11.5".
std::string short_number(double value);

}  // namespace evenhead::solver
