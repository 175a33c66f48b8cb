// Feeds within a Newton step: the chains that draw what others feed.
#pragma once

#include <vector>

#include "solver/balance/newton/elimination.hpp"
#include "solver/balance/newton/iterate.hpp"

namespace evenhead::solver {

/// What each feed gives by the flows after the last step (m3/s, below 0: its outlet takes water in).
std::vector<double> fed_flows(const Iterate& iterate);

/// Ends the curves of drawing chains at what is fed, not below 0.
void end_draws(Reduction& reduction, const std::vector<double>& fed);

/// Lets the chains that draw all that is fed follow its change in the step: adds to the change of heights,
/// and moves their points on the curves. `elimination`: factorised for this step.
void follow_feeds(Iterate& iterate, const Elimination& elimination);

}  // namespace evenhead::solver
