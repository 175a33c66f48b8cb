// A lower bound of the cost of any design, loops and several runs included: branch and bound over flows.
#pragma once

#include <functional>

#include "solver/sizing/trial.hpp"

namespace evenhead::solver {

struct LoopBoundOptions {
    double known = infinity;  ///< the cost of a design that passes
    double gap = 1e-4;        ///< a bound that is so near (share) to that is enough
    long most_boxes = 4000;
    int threads = 1;
    std::function<bool(double bound)> keep_going;  ///< may be empty
};

struct LoopBound {
    double cost = 0;  ///< no design costs less; infinite: none keeps the limits
    long boxes = 0;
    bool proven = false;  ///< the known design, or that there is none
};

/// The same answer on any number of threads.
LoopBound bound_loops(const TrialBasis& basis, const LoopBoundOptions& options);

}  // namespace evenhead::solver
