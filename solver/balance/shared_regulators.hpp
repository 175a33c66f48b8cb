// Regulators that share a part of the system or lead back upstream: which of them hold.
#pragma once

#include <functional>
#include <vector>

#include "solver/balance/link_solver.hpp"
#include "solver/balance/parts.hpp"

namespace evenhead::solver {

/// Solves the network with what `more` adds to its links, from the present state where `warm`; false where the
/// iteration did not end.
using SolveAll = std::function<bool(const std::function<void(Links&)>& more, bool warm)>;

/// Finds the states of parts.shared and leaves the balance in the solver's state, or a failure in its report.
/// `nominal`: flow of the heads of each part and beyond, m3/s.
void solve_shared_regulators(LinkSolver& solver, const Parts& parts, const std::vector<double>& nominal,
                             const SolveAll& solve_all);

}  // namespace evenhead::solver
