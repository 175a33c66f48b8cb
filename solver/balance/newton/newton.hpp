// The Newton-Raphson iteration on the chains of a reduction.
#pragma once

#include <vector>

#include "solver/balance/newton/reduction.hpp"

namespace evenhead::solver {

struct NewtonStep {
    double mismatch = 0;  ///< m, largest of any chain
    int chain = -1;       ///< where
    double length = 1;    ///< of the step taken
};

/// Of a ChainFeed: what its outlet feeds, and the most that its inlet may draw (m3/s): the same, not below 0.
struct NewtonFeed {
    double fed = 0, most = 0;
};

struct NewtonResult {
    bool converged = false;
    int solves = 0;              ///< linear solves
    double mismatch = 0;         ///< m, largest, at the end
    std::vector<double> flow;    ///< by chain, m3/s from `from` to `to`; they balance at every branch point
    std::vector<double> height;  ///< by branch point, m
    std::vector<NewtonFeed> feeds;  ///< as in the reduction
    std::vector<NewtonStep> steps;
};

/// Heights by branch point and flows by chain to start from instead of nominal flows.
struct NewtonStart {
    std::vector<double> height, flow;
};

/// Coarse: within a centimetre, to see where to go next. Hasty: likewise, or where the first few steps have
/// led.
enum class Precision { hasty, coarse, full };

inline constexpr double outgrown = 3;  ///< times the total flow: flows for which the level slope is too steep

/// Solves the reduction to rounding, and ends the laws of its feeds at what they draw. `total_flow` (m3/s) is
/// the scale below which flows count as small; where they outgrow it the iteration may end early.
NewtonResult solve_chains(Reduction& reduction, double total_flow, double level_slope, Precision precision,
                          const NewtonStart* start = nullptr);

}  // namespace evenhead::solver
