// A part of a network that is a tree for one run: what hangs from one node (the root), with every pipe whose
// size is open, and what the rest of the system can deliver there.
#pragma once

#include <optional>
#include <vector>

#include "solver/sizing/trial.hpp"

namespace evenhead::solver {

/// What leads from a node's parent to the node.
struct TreeOption {
    const Law* law = nullptr;
    int choice = 0;
    double cost = 0, area = 0, bore = 0;  ///< area and bore of a pipe; 0 else
    double most_velocity = infinity;      ///< m/s, of a pipe
};

struct TreeNode {
    int node = 0;     ///< of the network
    int parent = -1;  ///< among the tree's nodes; -1: the root
    std::vector<int> children;
    std::vector<int> heads;               ///< of the system
    int open = -1;                        ///< open pipe that leads here, or -1
    bool pipe = false, hands_on = false;  ///< a pipe leads here; a device, which telescoping looks through
    double held = infinity;               ///< m: a regulator that leads here holds this node at most there
    bool convex = true;                   ///< its loss is convex in the flow
    std::vector<TreeOption> options;      ///< one for what is fixed
};

/// Nodes come before their children; the first is the root.
struct TreeZone {
    int pair = 0;
    std::vector<TreeNode> nodes;
    /// The most height (m) that the rest of the system leaves at the root while the tree draws Q >= flow[i].
    std::vector<double> supply_flow, supply_height;

    double most_height(double flow) const;
};

/// The tree of a pair, or nothing: open pipes on rings, under several roots, pumps among them, or an open
/// pipe that only another run waters.
std::optional<TreeZone> find_tree(const TrialBasis& basis, int pair);

}  // namespace evenhead::solver
