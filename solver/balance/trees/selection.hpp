// What takes part in a run: the places that water reaches, and those of them through which it flows.
#pragma once

#include <vector>

#include "solver/balance/trees/parameters.hpp"

namespace evenhead::solver {

class Selection {
  public:
    Selection(const Network& network, const Structure& structure, const Parameters& parameters);

    /// Takes the valves of a run: near-linear in what they open and the branches that lead there.
    void open(const std::vector<Index>& valves);

    /// Reached with no valve open, rising: the same in every run.
    const std::vector<int>& always() const { return always_; }
    /// Reached through the run's valves; each stands after its parent.
    const std::vector<int>& opened() const { return opened_; }
    /// Places with running heads in their subtree, rising.
    const std::vector<int>& flowing() const { return flowing_; }
    /// What their subtrees draw at nominal flow, m3/s; by place. 0: nothing flows there.
    const std::vector<double>& draw() const { return draw_; }
    double total_draw() const { return total_; }  ///< m3/s, of all places

  private:
    bool passes(int place) const;
    void reach(int root, std::vector<int>& reached);
    void add_way(int place);

    const Network& net_;
    const Structure& structure_;
    const Parameters& set_;
    std::vector<int> valve_place_;  // by valve: the place behind it, or -1
    std::vector<char> valve_open_;  // by valve
    std::vector<char> reached_;     // by place
    std::vector<int> always_, always_flowing_, opened_, flowing_, way_;
    std::vector<char> on_way_;  // by place
    std::vector<double> draw_;
    double total_ = 0;
};

}  // namespace evenhead::solver
