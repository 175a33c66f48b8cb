// Open pipes that no run lets flow together can be sized apart: each group of them is a problem of its own.
#pragma once

#include <vector>

#include "solver/sizing/problem.hpp"

namespace evenhead::solver {

struct SizingComponent {
    SizingProblem problem;
    std::vector<std::size_t> open;  ///< by its open pipes: position in the whole problem's
};

/// Zones whose runs share no open pipe, each with the runs that concern it; every other open pipe has its
/// first choice there. Open pipes that no run concerns are a component without runs.
std::vector<SizingComponent> split_problem(const SizingProblem& whole);

}  // namespace evenhead::solver
