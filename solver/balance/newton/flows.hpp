// Flows that balance: to start an iteration from, and to end it with.
#pragma once

#include <vector>

#include "solver/balance/newton/iterate.hpp"

namespace evenhead::solver {

struct FirstFlows {
    std::vector<double> flow;     ///< by chain, m3/s
    std::vector<char> given;      ///< by chain: on the tree or drawn; else it lies across the tree, at rest
    std::vector<double> passing;  ///< by branch point, m3/s
};

/// Nominal draws run off along a tree grown from the sources.
FirstFlows first_flows(const Reduction& reduction);

/// Flows on upright parts take their exact value where the chord's are off the curve; what is then missing at
/// the points runs along a tree of the chains of least slope, whose losses it changes least. Trickles that
/// run in where nothing runs out stop.
void close_flows(Iterate& iterate);

/// Whether closed flows are on the curves, and balance at the points, well within what the closure allows.
bool flows_close(const Iterate& iterate);

}  // namespace evenhead::solver
