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

const solver::RunResult& Ours::solve() {
    balancer_->balance(0, all_, result_);
    return result_;
}

const solver::RunResult& Ours::solve_without(solver::Index valve) {
    std::vector<solver::Index> others;
    others.reserve(all_.size());
    for (const solver::Index open : all_) {
        if (open != valve) others.push_back(open);
    }
    balancer_->balance(0, others, result_);
    return result_;
}

}  // namespace evenhead::bench
