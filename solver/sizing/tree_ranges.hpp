// What heights the designs of a box of choices can have in a tree, and which of its choices none can take.
#pragma once

#include <utility>
#include <vector>

#include "solver/sizing/tree_labels.hpp"

namespace evenhead::solver {

class TreeRanges {
  public:
    /// `trial`, one of the basis, is set to other designs. `start` has the choices of pipes outside the tree.
    TreeRanges(const TrialBasis& basis, const TreeZone& zone, Trial& trial, Design start);

    /// Narrows low and high of the box and finds the rest; false where no design of it keeps its limits.
    bool narrow(TreeBox& box);

  private:
    void find_zones();
    bool keep_telescoping(TreeBox& box) const;
    bool find_heights(TreeBox& box);
    bool find_wanted(TreeBox& box) const;
    bool keep_velocity(TreeBox& box, bool& changed) const;
    double pressure_at(int head, double height) const;
    void want_spread(const TreeBox& box, std::vector<double>& wanted) const;

    const TrialBasis& basis_;
    const SizingProblem& problem_;
    const TreeZone& zone_;
    int situation_;
    const TrialBasis::SituationBasis& limits_;
    Trial& trial_;
    Design start_;
    std::vector<std::vector<std::pair<int, Index>>> zones_;  // by valve: node and head
};

}  // namespace evenhead::solver
