// What a finished design tells: what keeps each pipe from its next cheaper size, and what limits cost.
#pragma once

#include <functional>

#include "solver/sizing/sizing.hpp"

namespace evenhead::solver {

std::vector<Binding> find_binding(const SizingProblem& problem, const Design& design);

/// Sizes again (by `size_again`) with the critical head wanting a little less (1 psi; metric cases 10 kPa),
/// and with a tenth more velocity allowed.
std::vector<LimitPrice> find_limit_prices(const SizingProblem& problem, const Sizing& sized,
                                          const std::function<Sizing(const SizingProblem&)>& size_again);

}  // namespace evenhead::solver
