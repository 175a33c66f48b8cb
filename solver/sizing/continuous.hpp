// Where a search may begin: near to the least cost of pipes that may change size on their way.
#pragma once

#include <functional>

#include "solver/sizing/trial.hpp"

namespace evenhead::solver {

/// Each pipe in the smallest size that loses no more than the pipe of several sizes does (or what its feeder
/// lets it have); empty where the flows of no design that was tried let the limits be kept. `balances` grows
/// by the runs balanced. `keep_going` (may be empty) is asked now and then; once it says no, the answer is
/// what there is.
Design continuous_start(const TrialBasis& basis, long& balances, const std::function<bool()>& keep_going);

}  // namespace evenhead::solver
