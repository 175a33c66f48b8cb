// Trees and core: what hangs from what, by the elements and nodes alone. Prepared once for a network.
//
// A node on one element only is the leaf of a tree: it is peeled off with that element, and so on inwards.
// What hangs from the rest, the core, are trees: laterals, risers, zones, dead ends, branches of a main. The
// core is what lies on rings and between supplies; where it branches stand junctions, and between junctions
// lie chains of elements one behind the other.
#pragma once

#include <utility>
#include <vector>

#include "solver/network/network.hpp"

namespace evenhead::solver {

/// Elements between two junctions. Positions: junctions, steps.
struct CoreChain {
    int from, to;
    int first, last;  ///< in Structure::step_element and its like
};

struct Structure {
    // By place. A child stands before its parent, and a node's whole subtree just before it.
    std::vector<int> node;     ///< of the network
    std::vector<int> parent;   ///< place; at a tree's root ~(core node)
    std::vector<int> element;  ///< to the parent; -1: a head of a core node, which is its parent
    std::vector<int> head;     ///< element of the head at the node, or -1
    std::vector<int> subtree;  ///< first place of the node's subtree
    std::vector<char> uphill;  ///< the element runs from the node to its parent
    std::vector<char> shut;    ///< the element lets nothing through towards the node: one-way, and uphill

    // By core node, in the order of the network's nodes.
    std::vector<int> core_node;      ///< of the network
    std::vector<int> junction;       ///< or -1
    std::vector<int> step_to;        ///< inside a chain: the step that ends there; else -1
    std::vector<char> core_reached;  ///< from a supply, in the direction that one-way elements allow

    std::vector<int> junction_node;  ///< core node
    std::vector<CoreChain> chains;
    std::vector<std::pair<int, int>> chain_ends;  ///< junctions
    std::vector<int> step_element, step_node;     ///< by step; core node at its end
    std::vector<char> step_backward;              ///< by step: the element runs against the chain
    std::vector<int> supply_junction;             ///< by supply

    std::vector<int> place_of;  ///< by node: place, or ~(core node)

    /// The core holds valves or regulators, or water reaches a part of it only against one-way elements: then
    /// what takes part in a run has no one core, and only the general iteration can balance it.
    bool core_varies = false;

    std::size_t places() const { return node.size(); }
};

/// Near-linear in nodes and elements. Elements closed by the case are not there.
Structure prepare_structure(const Network& network);

}  // namespace evenhead::solver
