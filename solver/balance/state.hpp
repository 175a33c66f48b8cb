// Heights and flows of one run, by position in the network.
#pragma once

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "solver/network/network.hpp"

namespace evenhead::solver {

inline constexpr double nowhere = std::numeric_limits<double>::quiet_NaN();

inline constexpr double trickle =
    1e-16;  ///< m3/s: as nothing, and what conductances of uprights let through at most heights

/// m3/s: beyond any system's; only heights held apart by nothing pass as much.
inline constexpr double most_flow = 1e6;

/// The size of the largest of some flows.
inline double largest_flow(const std::vector<double>& flows) {
    double largest = 0;
    for (const double q : flows) largest = std::max(largest, std::abs(q));
    return largest;
}

inline constexpr double level_share =
    3e-10;  ///< m: most that the level slope of what loses nothing takes at the flow of everything

struct State {
    std::vector<double> height;  ///< by node, m; NaN: no supply reaches it
    std::vector<double> flow;    ///< by element, m3/s, tail to head
    std::vector<char> reached;   ///< by node: an open way leads there from a supply
    std::vector<char> active;    ///< by element: open, with both ends reached
    /// Nodes and elements that the run may concern, rising: all others have no height and no flow.
    Spans nodes, elements;
};

/// Which elements are open in a run: closed ones of the case and valves that do not run are not.
std::vector<char> open_elements(const Network& network, const std::vector<Index>& open_valves);

/// Marks what supplies reach through open elements, in the direction that one-way elements allow.
State reach(const Network& network, const std::vector<char>& open);

/// Where nothing flows: the heights in the limit of a vanishing draw at every point. Nodes that flow joins to
/// a supply or a running head keep theirs; from them and from the supplies height spreads through active
/// elements less their loss at flow 0, behind a regulator at most its held height. Several ways: the highest
/// counts, since a vanishing draw takes the way that leaves most. A part that a pump drives water round in,
/// and that it flows neither into nor out of, keeps its differences of height and rests on what it hangs on.
void spread_still_heights(const Network& network, State& state);

}  // namespace evenhead::solver
