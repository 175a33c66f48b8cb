// From elements between nodes to chains between branch points: what carries no water is left out, what
// carries the same flow is one chain.
//
// A node on one element only is a dead end: nothing flows there, it is peeled off, and so on inwards.
// Elements one behind the other at nodes of two elements form a chain with one flow. What is left has chains
// between branch points (three or more chains) and fixed heights. With all fixed heights taken as one more
// point, a chain carries water only if it lies on a ring through that point, that is, in its biconnected part
// (or if a pump drives water round a ring of its own); all other chains stand still.
#pragma once

#include <vector>

#include "solver/laws/series.hpp"
#include "solver/network/network.hpp"

namespace evenhead::solver {

/// One element as it takes part in one solve.
struct Link {
    int element = 0;  ///< position in Network::elements
    int tail = fixed, head = fixed;
    double fixed_height = 0;  ///< m, of the end that is `fixed`
    const Law* law = nullptr;
    double cap = infinity;  ///< m3/s, most that may pass
    double nominal = 0;     ///< m3/s, a draw to start from (heads, held zones)
};

/// A regulator that holds: what leaves its outlet (a link from its set height) is drawn at its inlet (a link
/// to its set height, by its own law, of no more than that).
struct Feed {
    int outlet, inlet;  ///< positions in Links::all
    bool loops;         ///< what it draws may change what it feeds
};

struct Links {
    std::vector<Link> all;
    std::vector<Feed> feeds;
};

struct Chain {
    int from = fixed, to = fixed;           ///< branch points
    double from_height = 0, to_height = 0;  ///< m, where fixed
    double nominal = 0;       ///< m3/s drawn through it at the start, positive from `from` to `to`
    bool source = false;      ///< touches a fixed height that is not a draw
    int first = 0, last = 0;  ///< its steps in Reduction::steps
};

struct ChainStep {
    int link;
    bool reversed;  ///< the chain runs through the link from head to tail
};

/// A Feed by chains.
struct ChainFeed {
    int fed = -1, drawing = -1;  ///< chains; -1: carries no water
    bool fed_reversed = false, drawing_reversed = false;
    bool loops = false;
};

struct Reduction {
    std::vector<Link> links;
    std::vector<int> branch_node;  ///< by branch point: node of the network
    std::vector<Chain> chains;     ///< those that carry water
    std::vector<ChainStep> steps;
    std::vector<Series> laws;      ///< by chain
    std::vector<ChainFeed> feeds;  ///< as in Links
};

/// Which of the chains in `open` can carry water: with all fixed heights taken as one more point, those on a
/// ring through that point, or on a ring that a pump drives. By chain.
std::vector<char> chains_that_carry(const Reduction& reduction, const std::vector<char>& open);

/// `scratch`: one int a node of the network, all -1 before and after. `level_slope`: see Series.
Reduction reduce(Links links, double level_slope, std::vector<int>& scratch);

}  // namespace evenhead::solver
