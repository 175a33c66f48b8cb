// From heights and flows by position in the network to a RunResult.
#pragma once

#include <vector>

#include "model/position.hpp"
#include "solver/balance/state.hpp"

namespace evenhead::solver {

/// How far a nozzle throws at a pressure (Pa), m: straight between the rows of pressure and radius, held
/// outside. NaN: nobody says.
double throw_radius(const model::Nozzle& nozzle, double pressure);

class ResultWriter {
  public:
    ResultWriter(const model::System& system, const Network& network);

    /// Writes everything but run, open, closure, failure and steps. `out` may hold another result of the same
    /// system: then only the rows that either run concerns are touched.
    void write(const State& state, RunResult& out) const;
    /// Only pipe_flow, and which pipes the run concerns; `out` likewise.
    void write_flows(const State& state, RunResult& out) const;

  private:
    struct Extremes {
        double lowest = infinity, highest = -infinity;
        void note(double value) {  // not a number: nothing is there
            if (value < lowest) lowest = value;
            if (value > highest) highest = value;
        }
    };
    void make_room(RunResult& out) const;
    void find_rows(const State& state, RunResult::Rows& rows) const;
    void clear(const RunResult::Rows& before, RunResult& out) const;
    void write_pipes(const State& state, RunResult& out) const;
    void write_two_sided(const State& state, bool devices, RunResult& out, Extremes& extremes) const;
    void write_head(std::size_t row, const State& state, RunResult& out) const;
    double pressure(int node, const State& state) const {
        return (state.height[at(node)] - net_.node_elevation[at(node)]) * pascals_per_metre_;
    }
    double no_radius(std::size_t head) const;

    const model::System& system_;
    const Network& net_;
    double pascals_per_metre_;
    std::vector<char> two_sided_;    // by point: it has an inlet and an outlet
    std::vector<double> over_area_;  // by pipe, 1/m2
};

}  // namespace evenhead::solver
