#include "solver/sizing/tree_costs.hpp"

#include <algorithm>

#include "model/position.hpp"

namespace evenhead::solver {

TreeCosts::TreeCosts(const TreeZone& zone, const TreeBox& box,
                     const std::vector<std::pair<double, double>>& ends,
                     const std::vector<double>& least_flow, double most)
    : zone_(zone), with_pipe_(zone.nodes.size()), outside_(zone.nodes.size()) {
    go_up(box, ends, least_flow);
    go_down(box, ends, least_flow, most);
}

double TreeCosts::with_pipe(std::size_t node) const {
    return with_pipe_[node].empty() ? infinity : with_pipe_[node].front().cost;
}

double TreeCosts::with_pipe(std::size_t node, double height) const {
    return cheapest(with_pipe_[node], height);
}

double TreeCosts::outside(std::size_t node, double height) const {
    const CostSteps& steps = outside_[node];
    const auto found = std::partition_point(
        steps.begin(), steps.end(), [&](const CostStep& step) { return step.height < height - 1e-9; });
    return found == steps.end() ? infinity : found->cost;
}

void TreeCosts::go_up(const TreeBox& box, const std::vector<std::pair<double, double>>& ends,
                      const std::vector<double>& least_flow) {
    for (std::size_t v = zone_.nodes.size(); v-- > 1;) {
        const TreeNode& node = zone_.nodes[v];
        CostSteps steps{{0, ends[v].first}};
        for (const int child : node.children) {
            CostSteps both;
            for (const CostStep& a : steps)
                for (const CostStep& b : with_pipe_[at(child)])
                    both.push_back({a.cost + b.cost, std::max(a.height, b.height)});
            prune(both, true);
            steps = std::move(both);
        }
        CostSteps with_pipe;
        for (const TreeOption& option : node.options) {
            if (!box.allows(node, option)) continue;
            const double lost = option.law->loss(least_flow[v]);
            for (const CostStep& step : steps)
                with_pipe.push_back({step.cost + option.cost, step.height + lost});
        }
        prune(with_pipe, true);
        with_pipe_[v] = std::move(with_pipe);
    }
}

void TreeCosts::go_down(const TreeBox& box, const std::vector<std::pair<double, double>>& ends,
                        const std::vector<double>& least_flow, double most) {
    outside_[0] = {{0, std::min(ends[0].second, zone_.most_height(least_flow[0]))}};
    for (std::size_t u = 0; u < zone_.nodes.size(); ++u) {
        const std::vector<int>& children = zone_.nodes[u].children;
        for (const int child : children) {
            const TreeNode& node = zone_.nodes[at(child)];
            CostSteps steps;
            for (const CostStep& step : outside_[u]) {
                double cost = step.cost;
                for (const int sibling : children)
                    if (sibling != child) cost += cheapest(with_pipe_[at(sibling)], step.height);
                if (!(cost < most)) continue;
                for (const TreeOption& option : node.options) {
                    if (!box.allows(node, option)) continue;
                    const double height = step.height - option.law->loss(least_flow[at(child)]);
                    steps.push_back(
                        {cost + option.cost, std::min({height, ends[at(child)].second, node.held})});
                }
            }
            prune(steps, false);
            outside_[at(child)] = std::move(steps);
        }
    }
}

}  // namespace evenhead::solver
