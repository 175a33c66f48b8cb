// What is measured: the one place where the benchmarks call the balance.
#pragma once

#include <optional>
#include <vector>

#include "solver/balance/balance.hpp"
#include "solver/network/network.hpp"

namespace evenhead::bench {

/// Balances a network, closure on, rules off. Every valve is open but where said.
class Ours {
  public:
    Ours(const model::System& system, const solver::Network& network);

    /// What the structure costs. Part of every cold solve; not of those that follow it.
    void prepare();
    /// From cold, prepared.
    solver::Closure solve();
    /// One valve shut, from the solve before.
    solver::Closure solve_without(solver::Index valve);

    /// Gauge pressure at each nozzle after the last solve, Pa.
    std::vector<double> head_pressures() const;

  private:
    const model::System& system_;
    const solver::Network& network_;
    std::vector<solver::Index> all_;
    std::optional<solver::Prepared> prepared_;
    std::optional<solver::Balancer> balancer_;
};

}  // namespace evenhead::bench
