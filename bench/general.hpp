// The baseline "general": KINSOL of SUNDIALS (Newton's method with a line search) and KLU of SuiteSparse on
// the same equations, heights and flows unknown together, from the same flows to begin with and to the same
// mismatch.
#pragma once

#include <vector>

#include "bench/clock.hpp"
#include "bench/flat_laws.hpp"

namespace evenhead::bench {

struct GeneralAnswer {
    bool solved = false;
    int steps = 0;
    std::vector<double> head_pressure;  ///< psi, see nozzle_pressures
    Seconds time;                       ///< from the network to heights and flows
};

/// Solves from cold with these elements open (by element). Throws std::runtime_error where KINSOL cannot be
/// set up.
GeneralAnswer solve_by_general(const model::System& system, const solver::Network& network,
                               const std::vector<char>& open);

}  // namespace evenhead::bench
