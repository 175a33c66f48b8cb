// The flows of a pair told by few numbers: what passes the chords of a spanning tree, and what heads draw.
#pragma once

#include <vector>

#include "solver/sizing/trial.hpp"

namespace evenhead::solver {

struct Interval {
    double low = 0, high = 0;
    double width() const { return high - low; }
};

/// An element of a pair's active network.
struct FlowLink {
    int element = 0;
    int tail = -1, head = -1;  ///< nodes of the graph; -1: the ground, where supplies and heads end
    int open = -1;             ///< open pipe, or -1
    int chord = -1;            ///< its own coordinate, or -1: it is in the tree
    /// In the tree: its flow is the sum of these coordinates with these signs.
    std::vector<std::pair<int, double>> sum;
};

struct FlowGraph {
    int pair = 0;
    std::vector<int> nodes;       ///< of the network
    std::vector<FlowLink> links;  ///< supplies, pipes, devices, valves, heads
    std::vector<int> coordinate;  ///< by coordinate: the link that it is the flow of
    std::vector<char> of_head;    ///< by coordinate: a head's draw

    /// The interval of a link's flow, given those of the coordinates.
    static Interval flow(const FlowLink& link, const std::vector<Interval>& box);
};

FlowGraph make_flow_graph(const TrialBasis& basis, int pair);

}  // namespace evenhead::solver
