// Regulators that share a part of the system or lead back upstream: which of them hold.
#pragma once

#include <functional>
#include <vector>

#include "solver/balance/link_solver.hpp"
#include "solver/balance/parts.hpp"

namespace evenhead::solver {

/// Solves all that is not owned, with what `more` adds to the links, from the present state where `warm`;
/// false where the iteration did not end.
using SolveTop = std::function<bool(const std::function<void(std::vector<Link>&)>& more, bool warm)>;

/// Finds the states of parts.shared and leaves the balance in the solver's state, or a failure in its report.
void solve_shared_regulators(LinkSolver& solver, const Parts& parts, const SolveTop& solve_top);

}  // namespace evenhead::solver
