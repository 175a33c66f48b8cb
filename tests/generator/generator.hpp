// Seeded systems for tests and benchmarks: every kind of element, ordinary and hostile.
#pragma once

#include <array>
#include <bitset>
#include <cstddef>
#include <cstdint>

#include "model/graph.hpp"
#include "model/system.hpp"

namespace evenhead::tests {

struct GeneratorOptions {
    int least_heads = 1, most_heads = 300;
    bool hostile = true;  ///< extremes of size, flow, height and exponent; else ordinary gardens and parks
};

/// What a system may contain that is hard on a solver.
enum class Extreme : std::size_t {
    tree,                  ///< no ring of pipes, one supply
    loops,                 ///< a ring of pipes
    grid,                  ///< a mainline of meshes
    several_supplies,      ///< two or more
    equal_supplies,        ///< two supplies that stand against each other with equal pressure
    pump,                  ///< behind a supply or within the main
    regulators_in_series,  ///< one behind the other
    shared_regulators,     ///< regulators beside each other or an open way: there may be no or no one balance
    one_way_back_pressure,  ///< a one-way element where water could flow back
    sprung_back_pressure,   ///< likewise one that opens only above a loss
    closed,                 ///< a closed pipe or device
    heads_above_supply,     ///< a head above the height of every supply at rest
    exponent_zero,          ///< a constant draw
    exponent_small,         ///< exponent 0.05
    flows_far_apart,        ///< heads of 0.1 gpm and of 100 gpm
    lengths_far_apart,      ///< a pipe of 1 ft joined to one of 10,000 ft
    bores_far_apart,        ///< pipes of 0.1 in and of 48 in
    lossless,               ///< a zero-length pipe that loses nothing
    even,                   ///< all pipes alike and level: rings with exactly no flow
    no_flow,                ///< no head can run
    isolated_part,          ///< a part that no supply reaches
    own_valves,             ///< heads with valves of their own
    count
};
inline constexpr std::size_t extreme_count = static_cast<std::size_t>(Extreme::count);
extern const std::array<const char*, extreme_count> extreme_names;

class Extremes {
  public:
    void note(Extreme extreme, bool present = true) {
        if (present) bits_.set(static_cast<std::size_t>(extreme));
    }
    bool has(Extreme extreme) const { return bits_.test(static_cast<std::size_t>(extreme)); }

  private:
    std::bitset<extreme_count> bits_;
};

struct Generated {
    model::System system;
    model::Layout layout;
    Extremes extremes;
};

/// The same system for the same seed on every machine. Every system is one that the reader would accept.
Generated generate(std::uint64_t seed, const GeneratorOptions& options = {});

/// Adds what can be seen from the system alone; `generate` calls it.
void note_extremes(const model::System& system, Extremes& extremes);

}  // namespace evenhead::tests
