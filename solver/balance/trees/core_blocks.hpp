// Which chains of the core carry water in a run: those in blocks (parts that no single junction divides) on a
// way from one to another of the places where water comes in or is drawn.
#pragma once

#include <vector>

#include "solver/balance/trees/structure.hpp"

namespace evenhead::solver {

class CoreBlocks {
  public:
    CoreBlocks(const Network& network, const Structure& structure);

    /// By chain, for draws at these junctions and inside these chains.
    const std::vector<char>& carrying(const std::vector<int>& junctions, const std::vector<int>& chains);

  private:
    std::vector<int> block_of_;         // by chain
    std::vector<std::vector<int>> at_;  // blocks by junction, then junctions by block
    std::vector<char> always_;          // likewise: a supply is there, or a pump drives water round in it
    std::vector<char> held_;            // likewise: or a draw
    std::vector<int> ties_;             // likewise: how many are left
    std::vector<char> carries_;
    std::size_t junctions_, blocks_;
};

}  // namespace evenhead::solver
