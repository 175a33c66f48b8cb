// Open pipes that no run lets flow together can be sized apart: each group of them is a problem of its own.
#pragma once

#include <vector>

#include "solver/sizing/problem.hpp"

namespace evenhead::solver {

struct SizingComponent {
    std::vector<std::size_t> open;  ///< positions in the whole problem's open pipes
    std::vector<Index> runs;        ///< that concern them
};

/// Zones whose runs share no open pipe, each with the runs that concern it. Open pipes that no run concerns
/// are components without runs.
std::vector<SizingComponent> split_problem(const SizingProblem& whole);

/// The problem of one component: every other open pipe has its first choice.
SizingProblem problem_of(const SizingProblem& whole, const SizingComponent& part);

}  // namespace evenhead::solver
