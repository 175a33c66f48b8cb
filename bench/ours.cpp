#include "bench/ours.hpp"

#include <numeric>

namespace evenhead::bench {

Ours::Ours(const model::System& system, const solver::Network& network)
    : system_(system), network_(network), all_(system.valves.size()) {
    std::iota(all_.begin(), all_.end(), 0);
}

// The balance has no step of its own for the structure yet: every solve finds it again.
void Ours::prepare() {}

solver::RunResult Ours::solve() {
    return solver::balance_run(system_, network_, 0, all_);
}

solver::RunResult Ours::solve_without(solver::Index valve) {
    std::vector<solver::Index> others;
    others.reserve(all_.size());
    for (const solver::Index open : all_) {
        if (open != valve) others.push_back(open);
    }
    return solver::balance_run(system_, network_, 0, others);
}

}  // namespace evenhead::bench
