// Faults planted at every place of a system, readings simulated with the noise that they are said to have,
// and whether the diagnosis finds what was planted: the first and last head of the zone and the meter are
// read, then what it asks.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "model/graph.hpp"
#include "solver/diagnosis/diagnosis.hpp"

namespace evenhead::tests {

struct SimulationOptions {
    std::uint64_t seed = 1;
    std::size_t cases = 0;  ///< drawn by the weights of the prior table; 0: every place once
    int readings = 5;       ///< in all, three of them given
    int threads = 2;
};

struct Simulated {
    bool healthy = false;  ///< nothing was planted
    solver::FaultKind kind = solver::FaultKind::blockage;
    std::string words;  ///< what was planted, and what leads instead where it does not
    bool first = false, among_three = false;
    double leading = 0;      ///< probability of the leading group
    double log_score = 0;    ///< ln of the probability of the group that holds what was planted
    std::size_t places = 0;  ///< of the leading group
    bool has_severity = false, in_band = false;
};

/// Cases whose severity no gauge would notice are left out, as a complaint would be. Inputs of the system are
/// taken for exact, as the simulated readings are.
std::vector<Simulated> simulate(const model::System& system, const model::Layout& layout,
                                const SimulationOptions& options);

struct Score {
    std::size_t faults = 0, first = 0, among_three = 0, healthy = 0, healthy_first = 0;
    std::size_t with_band = 0, in_band = 0;
    double log_score = 0;  ///< sum
    std::size_t median_places = 0;
    struct Bin {
        std::size_t count = 0, right = 0;
        double probability = 0;  ///< sum
    };
    std::array<Bin, 10> bins;  ///< by tenths of the leading group's probability
    std::map<std::string, std::array<std::size_t, 2>> kinds;  ///< cases and firsts, by kind
};
Score score(const std::vector<Simulated>& cases);
std::string score_text(const Score& score);

/// True where a share of `right` of `count` is within the 99 % interval of the binomial at `probability`
/// (normal approximation; for counts of 200 and more).
bool calibrated(std::size_t right, std::size_t count, double probability);

}  // namespace evenhead::tests
