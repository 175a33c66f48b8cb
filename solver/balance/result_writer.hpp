// From heights and flows by position in the network to a RunResult.
#pragma once

#include "model/position.hpp"
#include "solver/balance/state.hpp"

namespace evenhead::solver {

class ResultWriter {
  public:
    ResultWriter(const model::System& system, const Network& network) : system_(system), net_(network) {}

    /// Writes everything but run, open, closure, failure and steps. `out` may hold another result of the same
    /// system: then only the rows that either run concerns are touched.
    void write(const State& state, RunResult& out) const;

  private:
    void clear(RunResult& out) const;
    void write_element(int element, const State& state, RunResult& out) const;
    void write_pipe(std::size_t element, const State& state, RunResult& out) const;
    void write_losses(RunResult& out) const;
    void write_head(std::size_t element, const State& state, RunResult& out) const;
    double pressure(int node, const State& state) const {
        return (state.height[at(node)] - net_.node_elevation[at(node)]) / net_.metres_per_pascal;
    }

    const model::System& system_;
    const Network& net_;
};

}  // namespace evenhead::solver
