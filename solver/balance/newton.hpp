// The Newton-Raphson iteration on the chains of a reduction.
#pragma once

#include <vector>

#include "solver/balance/reduction.hpp"

namespace evenhead::solver {

struct NewtonStep {
    double mismatch = 0;  ///< m, largest of any chain
    int chain = -1;       ///< where
    double length = 1;    ///< of the step taken
};

struct NewtonResult {
    bool converged = false;
    int solves = 0;              ///< linear solves
    double mismatch = 0;         ///< m, largest, at the end
    std::vector<double> flow;    ///< by chain, m3/s from `from` to `to`; they balance at every branch point
    std::vector<double> height;  ///< by branch point, m
    std::vector<NewtonStep> steps;
};

/// Heights by branch point and flows by chain to start from instead of nominal flows.
struct NewtonStart {
    std::vector<double> height, flow;
};

/// Solves the reduction to rounding. `total_flow` (m3/s) is the scale below which flows count as small.
NewtonResult solve_chains(const Reduction& reduction, double total_flow, double level_slope,
                          const NewtonStart* start = nullptr, int most_solves = 200);

}  // namespace evenhead::solver
