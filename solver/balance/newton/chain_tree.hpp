// A spanning tree of chains, hung from the fixed heights.
#pragma once

#include <vector>

#include "solver/network/network.hpp"

namespace evenhead::solver {

/// The points that a chain joins; `fixed`: a fixed height.
struct Ends {
    int from, to;
};

/// The chains of `order` that join what those before them have not joined yet.
std::vector<int> joining_chains(std::size_t points, const std::vector<Ends>& ends,
                                const std::vector<int>& order);

/// Points in the order in which the tree reaches them, and the chain that reaches each (-1: none does).
class ChainTree {
  public:
    /// Grows breadth first from the fixed heights through the chains in `allowed`; earlier ones first.
    ChainTree(std::size_t points, const std::vector<Ends>& ends, const std::vector<int>& allowed);

    /// What arrives too much at the points (m3/s, by point) runs off along the tree to the fixed heights:
    /// writes flow of every chain of the tree, and adds to `excess` what passes each point.
    void drain(std::vector<double>& excess, std::vector<double>& flow) const;

    const std::vector<int>& chains() const { return chains_; }  ///< of the tree, roots first

  private:
    const std::vector<Ends>& ends_;
    std::vector<int> order_, chains_;
};

}  // namespace evenhead::solver
