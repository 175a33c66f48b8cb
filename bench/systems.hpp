// The systems that the benchmarks solve: seeded, the same on every machine, of any size. All of them are
// invented.
#pragma once

#include <cstdint>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"

namespace evenhead::bench {

/// A System and what find_layout makes of it.
struct Built {
    model::System system;
    model::Layout layout;
};

enum class RowOrder { drawing, shuffled };

inline constexpr int heads_a_valve = 17, heads_a_loop = 57;

/// One looped main on which every valve may be open at once: per head one lateral pipe, one swing joint and
/// one nozzle, a valve for each 17 heads (rounded up), an independent loop of the main for each 57 (at least
/// one), a supply for each 16 loops or so. Rows stand in drawing order: the main first, then zone by zone; or
/// shuffled by the seed.
Built looped_system(int heads, std::uint64_t seed, RowOrder order = RowOrder::drawing);

/// A golf course: stations with a valve in every head, on a looped main of 20 loops fed by a pump from a
/// pond. A run for each station.
Built golf_course(std::uint64_t seed, int stations = 3500);

struct ParkSize {
    int heads = 0, valves = 0;
};
/// The irrigation systems of a big city's parks department: 258 of them with 500,000 heads and 29,000 valves
/// in all, many small, some large.
std::vector<ParkSize> city_sizes(std::uint64_t seed);
/// One of them: supply, meter and backflow preventer, a main with a loop for each 500 heads, runs of one to
/// three valves.
Built park(ParkSize size, std::uint64_t seed);

/// Independent loops of the mainline by E - V + 1, which holds for what hangs together. Of the mainline
/// alone: pipes and points that supplies reach past no valve.
int main_loops(const Built& built);

/// Puts the rows of points, pipes, heads and valves in an order drawn by the seed. What is connected stays
/// so.
void shuffle_rows(model::System& system, std::uint64_t seed);

}  // namespace evenhead::bench
