// Seeded systems for tests and benchmarks: every kind of element, ordinary and hostile.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"

namespace evenhead::tests {

struct GeneratorOptions {
    int least_heads = 1, most_heads = 300;
    bool hostile = true;  ///< extremes of size, flow, height and exponent; else ordinary gardens and parks
};

/// What a generated system contains, to show that each extreme occurs often enough.
struct Extremes {
    bool loops = false, grid = false, several_supplies = false, pump = false, regulators_in_series = false;
    bool one_way = false, sprung_with_back_pressure = false, closed = false, heads_above_supply = false;
    bool exponent_zero = false, exponent_small = false, flows_far_apart = false, lengths_far_apart = false;
    bool bores_far_apart = false, no_flow = false, isolated_part = false, shared_regulators = false;
};

struct Generated {
    model::System system;
    model::Layout layout;
    Extremes extremes;
};

/// The same system for the same seed on every machine.
Generated generate(std::uint64_t seed, const GeneratorOptions& options = {});

}  // namespace evenhead::tests
