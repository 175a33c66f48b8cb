// Branch and bound over boxes of flows, each bounded from below by a linear programme (flow_programme.cpp).
//
// Boxes are parted at the coordinate whose interval makes the widest loss, the box of least bound first. The
// bound of the whole is the least of all boxes that are left.
#include "solver/sizing/loop_bound.hpp"

#include <algorithm>
#include <cmath>
#include <queue>

#include "model/position.hpp"
#include "solver/parallel.hpp"
#include "solver/sizing/flow_boxes.hpp"
#include "solver/sizing/flow_programme.hpp"

namespace evenhead::solver {
namespace {

struct Box {
    FlowBox flows;
    double bound = 0;
    long order = 0;
};
struct Later {
    bool operator()(const Box& a, const Box& b) const {
        return a.bound != b.bound ? a.bound > b.bound : a.order > b.order;
    }
};

class LoopBounding {
  public:
    LoopBounding(const TrialBasis& basis, const LoopBoundOptions& options)
        : basis_(basis), options_(options) {
        for (std::size_t pair = 0; pair < basis.pairs.size(); ++pair)
            graphs_.push_back(make_flow_graph(basis, static_cast<int>(pair)));
    }

    LoopBound run() {
        LoopBound result;
        Box whole = first_box();
        for (const auto& flows : whole.flows)
            for (const Interval& flow : flows)
                if (!(flow.high < infinity)) return result;
        std::priority_queue<Box, std::vector<Box>, Later> waiting;
        const auto threads = static_cast<std::size_t>(std::max(1, options_.threads));
        const double first = least_cost_in(whole.flows, graphs_, basis_);
        ++result.boxes;
        if (first == infinity) {
            result.cost = infinity;
            result.proven = true;
            return result;
        }
        whole.bound = std::isnan(first) ? 0 : first;
        waiting.push(whole);
        long order = 0;
        constexpr std::size_t batch = 8;
        double finest = infinity;  // of boxes that are parted no further
        while (!waiting.empty()) {
            result.cost = std::min(waiting.top().bound, finest);
            if (result.cost >= options_.known * (1 - options_.gap) || finest <= waiting.top().bound) break;
            if (result.boxes >= options_.most_boxes) break;
            if (options_.keep_going && !options_.keep_going(result.cost)) break;
            std::vector<Box> parts;
            for (std::size_t i = 0; i < batch / 2 && !waiting.empty(); ++i) {
                const Box box = waiting.top();
                waiting.pop();
                if (!part(box, parts)) finest = std::min(finest, box.bound);
            }
            std::vector<double> bounds(parts.size());
            in_parallel(threads, parts.size(), [&](std::size_t, std::size_t i) {
                bounds[i] = least_cost_in(parts[i].flows, graphs_, basis_);
            });
            for (std::size_t i = 0; i < parts.size(); ++i) {
                ++result.boxes;
                if (!std::isnan(bounds[i])) parts[i].bound = std::max(parts[i].bound, bounds[i]);
                parts[i].order = ++order;
                if (parts[i].bound < options_.known * (1 - options_.gap)) waiting.push(std::move(parts[i]));
            }
            if (waiting.empty()) {
                result.cost = std::min(finest, options_.known * (1 - options_.gap));
                if (options_.known == infinity && finest == infinity) {
                    result.cost = infinity;
                    result.proven = true;
                }
            }
        }
        return result;
    }

  private:
    /// A second supply, or a pump on a ring, may drive more round than all heads draw. Else water only runs
    /// down from where it enters to where it is drawn, and never in a circle.
    static bool may_circulate(const FlowGraph& graph, const Network& net) {
        const auto on_ring = [&](const FlowLink& link) {
            if (link.chord >= 0) return graph.of_head[at(link.chord)] == 0;
            return std::any_of(link.sum.begin(), link.sum.end(),
                               [&](const auto& term) { return graph.of_head[at(term.first)] == 0; });
        };
        int supplies = 0;
        for (const FlowLink& link : graph.links) {
            supplies += link.element < net.first_pipe;
            const bool device = link.element >= net.first_device && link.element < net.first_valve;
            if (device && net.elements[at(link.element)].law->losses(0).low < 0 && on_ring(link)) return true;
        }
        return supplies > 1;
    }

    /// The most that the velocity rule lets through a link, m3/s; infinite: whatever.
    double most_by_velocity(const FlowLink& link, const Network& net) const {
        if (link.element < net.first_pipe || link.element >= net.first_device) return infinity;
        const std::size_t pipe = at(link.element - net.first_pipe);
        if (link.open < 0) return basis_.fixed_area[pipe] * basis_.fixed_most_velocity[pipe] * (1 + 2e-7);
        double most = 0;
        for (std::size_t c = 0; c < basis_.area[at(link.open)].size(); ++c)
            most = std::max(most, basis_.area[at(link.open)][c] * basis_.most_velocity[at(link.open)][c]);
        return most * (1 + 2e-7);
    }

    /// What heads pass between what they want and the most there is; rings whatever all of them draw, or what
    /// the rules let through; infinite where nothing bounds it.
    Box first_box() const {
        Box box;
        for (const FlowGraph& graph : graphs_) {
            const RunPair& pair = basis_.pairs[at(graph.pair)];
            const TrialBasis::SituationBasis& limits = basis_.situations[at(pair.situation)];
            const Network& net = limits.networks.front();
            const double highest = highest_height(net);
            const bool circulates = may_circulate(graph, net);
            std::vector<Interval> flows(graph.coordinate.size());
            double total = 0;
            for (std::size_t c = 0; c < flows.size(); ++c) {
                if (!graph.of_head[c]) continue;
                const int element = graph.links[at(graph.coordinate[c])].element;
                const std::size_t head = at(element - net.first_head);
                const HeadLaw& law = *net.head_laws[head];
                const TrialBasis::HeadLimits& limit = limits.heads[head];
                const double mpp = net.metres_per_pascal;
                if (limit.constant_draw) {
                    const bool full = !limits.rules[RuleId::short_flow].off;
                    flows[c] = {full ? limit.full_flow * (1 - 2e-7) : 0, limit.full_flow};
                } else {
                    double most =
                        law.flow(std::max(0.1, highest - net.elements[at(element)].fixed_height), 1e-4);
                    if (limit.most < infinity && !law.set())
                        most = std::min(most, law.nozzle().flow(limit.most * mpp) * (1 + 1e-6));
                    const double least =
                        limit.least > 0 ? law.nozzle().flow(limit.least * mpp) * (1 - 1e-6) : 0;
                    flows[c] = {std::min(least, most), most};
                }
                total += flows[c].high;
            }
            for (std::size_t c = 0; c < flows.size(); ++c) {
                if (graph.of_head[c]) continue;
                const double most =
                    circulates ? most_by_velocity(graph.links[at(graph.coordinate[c])], net) : total;
                flows[c] = {-most, most};
            }
            box.flows.push_back(std::move(flows));
        }
        return box;
    }

    /// Two halves of the box, parted where that narrows most; false where nothing is wide any more.
    bool part(const Box& box, std::vector<Box>& parts) const {
        std::size_t best_graph = 0, best = 0;
        double widest = 0;
        for (std::size_t g = 0; g < graphs_.size(); ++g) {
            const FlowGraph& graph = graphs_[g];
            for (std::size_t c = 0; c < graph.coordinate.size(); ++c) {
                double width = box.flows[g][c].width();
                if (graph.of_head[c]) width *= 0.3;  // draws are many, and each matters little
                if (width > widest) {
                    widest = width;
                    best = c;
                    best_graph = g;
                }
            }
        }
        if (!(widest > 1e-9)) return false;
        const Interval whole = box.flows[best_graph][best];
        // At zero first, where the direction of the flow is not known.
        const double middle =
            whole.low < 0 && whole.high > 0 && box.bound == 0 ? 0 : (whole.low + whole.high) / 2;
        for (const bool upper : {false, true}) {
            parts.push_back(box);
            Interval& half = parts.back().flows[best_graph][best];
            (upper ? half.low : half.high) = middle;
        }
        return true;
    }

    const TrialBasis& basis_;
    const LoopBoundOptions& options_;
    std::vector<FlowGraph> graphs_;
};

}  // namespace

LoopBound bound_loops(const TrialBasis& basis, const LoopBoundOptions& options) {
    return LoopBounding(basis, options).run();
}

}  // namespace evenhead::solver
