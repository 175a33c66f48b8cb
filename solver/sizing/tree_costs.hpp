// The least costs of parts of a tree at the least flows that a box allows: what is still to come of a label.
#pragma once

#include <utility>
#include <vector>

#include "solver/sizing/label_lists.hpp"
#include "solver/sizing/tree_labels.hpp"

namespace evenhead::solver {

class TreeCosts {
  public:
    /// By node: `ends` the lowest and highest height (m) in question, `least_flow` (m3/s) of what leads to
    /// it. Costs from `most` on are of no use.
    TreeCosts(const TreeZone& zone, const TreeBox& box, const std::vector<std::pair<double, double>>& ends,
              const std::vector<double>& least_flow, double most);

    /// Of the subtree below a node and the pipe to it; infinite where there is none.
    double with_pipe(std::size_t node) const;
    /// The same where the pipe begins at this height at most (m).
    double with_pipe(std::size_t node, double height) const;
    /// Of all that is outside the subtree below a node, with the pipe to it, where that leaves the node
    /// this height (m).
    double outside(std::size_t node, double height) const;

  private:
    void go_up(const TreeBox& box, const std::vector<std::pair<double, double>>& ends,
               const std::vector<double>& least_flow);
    void go_down(const TreeBox& box, const std::vector<std::pair<double, double>>& ends,
                 const std::vector<double>& least_flow, double most);

    const TreeZone& zone_;
    std::vector<CostSteps> with_pipe_, outside_;  // by node
};

}  // namespace evenhead::solver
