#include "bench/ours.hpp"

#include <numeric>

namespace evenhead::bench {

Ours::Ours(const model::System& system, const solver::Network& network)
    : system_(system), network_(network), all_(system.valves.size()) {
    std::iota(all_.begin(), all_.end(), 0);
}

void Ours::prepare() {
    balancer_.reset();
    prepared_.emplace(solver::prepare(network_));
    balancer_.emplace(system_, network_, *prepared_);
}

solver::Closure Ours::solve() {
    return balancer_->solve(all_);
}

solver::Closure Ours::solve_without(solver::Index valve) {
    std::vector<solver::Index> others;
    others.reserve(all_.size());
    for (const solver::Index open : all_) {
        if (open != valve) others.push_back(open);
    }
    return balancer_->solve(others);
}

std::vector<double> Ours::head_pressures() const {
    solver::RunResult result;
    solver::ResultWriter(system_, network_).write(balancer_->state(), result);
    return result.head_pressure;
}

}  // namespace evenhead::bench
