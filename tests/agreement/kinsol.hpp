// KINSOL of SUNDIALS (Newton's method with a line search) with KLU of SuiteSparse on a system of equations.
#pragma once

#include <optional>
#include <vector>

#include "tests/agreement/equations.hpp"

namespace evenhead::agreement {

/// The solution from `start`; none where KINSOL gives up or where its residual stays above 1e-9 of the
/// scales.
std::optional<std::vector<double>> solve_by_kinsol(const Equations& equations,
                                                   const std::vector<double>& start);

}  // namespace evenhead::agreement
