#include <algorithm>
#include <cmath>
#include <map>

#include <boost/pending/disjoint_sets.hpp>

#include "model/position.hpp"
#include "solver/balance/state.hpp"

namespace evenhead::solver {
namespace {

// Parts of the network that flow joins; all fixed heights count as one more node.
class FlowingParts {
  public:
    FlowingParts(const Network& network, const State& state)
        : fixed_heights_(state.height.size()), joined_(fixed_heights_ + 1), flows_(fixed_heights_ + 1, 0) {
        for (std::size_t e = 0; e < network.elements.size(); ++e) {
            if (state.flow[e] == 0) continue;
            const std::size_t tail = name(network.elements[e].tail), head = name(network.elements[e].head);
            joined_.union_set(tail, head);
            flows_[tail] = flows_[head] = 1;
        }
    }
    bool flows(int node) const { return flows_[at(node)]; }
    /// The part of a node, `tied` where it has a fixed height.
    int part(int node) {
        const std::size_t of = joined_.find_set(at(node));
        return of == joined_.find_set(fixed_heights_) ? tied : static_cast<int>(of);
    }
    static constexpr int tied = -1;

  private:
    std::size_t name(int node) const { return node == fixed ? fixed_heights_ : at(node); }
    std::size_t fixed_heights_;
    boost::disjoint_sets_with_storage<> joined_;
    std::vector<char> flows_;
};

constexpr int most_raised = 200;  // a pump may lift a label that was settled: a bounded number of times

class Spread {
  public:
    Spread(const Network& network, State& state)
        : net_(network),
          state_(state),
          floats_(state.height.size(), no_part),
          raised_(state.height.size(), 0) {}

    void run() {
        place_flowing();
        for (int e = 0; e < net_.first_pipe; ++e)
            offer(net_.elements[at(e)].head, net_.elements[at(e)].fixed_height);
        // First in, first out: most still water hangs in trees, where each node is raised once.
        for (std::size_t next = 0; next < queue_.size(); ++next) lead_on(queue_[next]);
    }

  private:
    struct Floating {
        std::vector<int> nodes;
        int settled = 0;  // times
    };

    void place_flowing() {
        FlowingParts parts(net_, state_);
        for (int node = 0; node < static_cast<int>(floats_.size()); ++node) {
            // A trickle of rounding that ends at a node leaves it without a height: it stands still.
            const bool flows = parts.flows(node) && !std::isnan(state_.height[at(node)]);
            const int part = flows ? parts.part(node) : no_part;
            if (!flows) {
                state_.height[at(node)] = nowhere;
            } else if (part == FlowingParts::tied) {
                queue_.push_back(node);
                floats_[at(node)] = keeps;
            } else {
                floating_[part].nodes.push_back(node);
                floats_[at(node)] = part;
            }
        }
    }

    // Heights only rise.
    void offer(int node, double height) {
        if (node == fixed || !state_.reached[at(node)] || floats_[at(node)] == keeps) return;
        double& own = state_.height[at(node)];
        if (floats_[at(node)] != no_part) {
            Floating& part = floating_.at(floats_[at(node)]);
            const double shift = height - own;
            if (part.settled > most_raised || (part.settled > 0 && shift <= 0)) return;
            ++part.settled;
            for (const int other : part.nodes) {
                state_.height[at(other)] += shift;
                queue_.push_back(other);
            }
        } else if (!(own >= height) && raised_[at(node)] <= most_raised) {
            own = height;
            ++raised_[at(node)];
            queue_.push_back(node);
        }
    }

    void lead_on(int node) {
        const double height = state_.height[at(node)];
        for (int l = net_.link_start[at(node)]; l < net_.link_start[at(node) + 1]; ++l) {
            const int e = net_.links[at(l)];
            const Element& element = net_.elements[at(e)];
            if (!state_.active[at(e)] || element.tail == fixed || element.head == fixed) continue;
            const int part = floats_[at(element.tail)];
            if (part >= 0 && part == floats_[at(element.head)]) continue;  // they keep their difference
            if (element.tail == node) {
                offer(element.head, std::min(height - element.law->losses(0).high, element.held_height));
            } else if (!element.one_way) {
                offer(element.tail, height + element.law->losses(0).low);
            }
        }
    }

    static constexpr int no_part = -1, keeps = -2;
    const Network& net_;
    State& state_;
    std::vector<int> floats_;  // by node: the part that it floats with, or one of the above
    std::vector<unsigned char> raised_;
    std::map<int, Floating> floating_;
    std::vector<int> queue_;
};

}  // namespace

void spread_still_heights(const Network& network, State& state) {
    Spread(network, state).run();
}

}  // namespace evenhead::solver
