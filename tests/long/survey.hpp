// Many generated systems, each balanced and judged: the slice in CI and the long run are the same thing.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "solver/balance/result.hpp"
#include "tests/generator/generator.hpp"

namespace evenhead::tests {

/// What is wrong with an answer, in words; empty where every law is obeyed within the closure of the
/// specification, or where a reason is given that the system really gives cause for.
std::string judge(const Generated& made, const solver::RunResult& result);

struct Survey {
    struct Seed {
        std::uint64_t seed;
        int solves;
        std::string text;
    };
    std::vector<int> solves;        ///< by number of linear solves: systems
    std::vector<Seed> slow;         ///< above 40, by seed
    std::vector<Seed> wrong;        ///< by seed, with what is wrong
    std::vector<Seed> with_reason;  ///< no or more than one balance, by seed, with the reason
    int still = 0;                  ///< systems where no head runs
    int held_back = 0;              ///< systems with a one-way element shut against 1 psi or more
    int sprung_held_back = 0;       ///< likewise one that opens above a loss

    int count() const;
    int most() const { return static_cast<int>(solves.size()) - 1; }
};

/// Seeds first .. first + count - 1, in `threads` threads.
Survey survey(std::uint64_t first, int count, const GeneratorOptions& options, int threads);

inline constexpr int few_solves = 40, most_solves = 120;
inline constexpr double share_above_few = 0.001;

/// What misses the bars, in words; empty where nothing does.
std::string missed_bars(const Survey& survey);

}  // namespace evenhead::tests
