// How likely each head gets too little, when the inputs are off by what is usual.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "model/graph.hpp"
#include "model/spreads.hpp"
#include "model/system.hpp"
#include "solver/inputs/inputs.hpp"

namespace evenhead::solver {

struct ChanceOptions {
    int samples = 10'000;     ///< draws of all inputs, at least 2
    std::uint64_t seed = 1;   ///< the same seed, the same draws
    int threads = 0;          ///< 0: as many as the machine has; the answer is the same on any number
    std::vector<Index> runs;  ///< positions; empty: all
    const model::Spreads* spreads = nullptr;  ///< null: the catalogue's
};

/// One head in one run. Pa; shares 1 = always. NaN: not known (nothing wanted, or no first order).
struct HeadChance {
    Index run = model::none, head = model::none;
    double pressure = 0;           ///< as the case says
    double wanted = 0;             ///< the lower limit
    double below = 0;              ///< share of the samples under it
    std::array<double, 2> band{};  ///< nine samples of ten lie between: 5 % below, 5 % above
    double first_order_below = 0;  ///< the same from the derivatives, as if all were straight and normal
    std::array<double, 2> first_order_band{};
    std::size_t samples = 0;  ///< that could be balanced
};

struct Chance {
    std::vector<HeadChance> heads;  ///< in the order of runs and heads; those that water reaches as drawn
    std::size_t samples = 0;
    std::uint64_t seed = 0;
    std::vector<Input> inputs;  ///< that were drawn: rows of the system
    std::size_t unsolved = 0;   ///< balances without a solution, of all runs and samples
};

/// As many samples as serve where nobody says: 10,000, fewer of a very large system.
int usual_samples(const model::System& system);

/// Draws all inputs that have a spread, by the case or by the table of usual ones: normal, cut at three
/// standard deviations, one draw for all rows that share it, a supply's static and residual pressures
/// together. Each sample balances every run anew.
Chance find_chance(const model::System& system, const model::Layout& layout,
                   const ChanceOptions& options = {});

}  // namespace evenhead::solver
