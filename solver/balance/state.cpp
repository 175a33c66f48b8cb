#include "solver/balance/state.hpp"
#include "model/position.hpp"

#include <algorithm>
#include <map>

namespace evenhead::solver {

std::vector<char> open_elements(const Network& network, const std::vector<Index>& open_valves) {
    std::vector<char> open(network.elements.size());
    for (std::size_t e = 0; e < open.size(); ++e) open[e] = !network.elements[e].closed;
    for (int e = network.first_valve; e < network.first_head; ++e) open[at(e)] = 0;
    for (const Index valve : open_valves) open[at(network.first_valve + valve)] = 1;
    return open;
}

State reach(const Network& network, const std::vector<char>& open) {
    State state;
    state.height.assign(network.node_elevation.size(), nowhere);
    state.flow.assign(network.elements.size(), 0.0);
    state.floats.assign(network.node_elevation.size(), -1);
    state.reached.assign(network.node_elevation.size(), 0);
    state.active.assign(network.elements.size(), 0);
    std::vector<int> visit;
    const auto arrive = [&](int node) {
        if (node == fixed || state.reached[at(node)]) return;
        state.reached[at(node)] = 1;
        visit.push_back(node);
    };
    for (int e = 0; e < network.first_pipe; ++e) arrive(network.elements[at(e)].head);
    for (std::size_t i = 0; i < visit.size(); ++i) {
        const int node = visit[i];
        for (int l = network.link_start[at(node)]; l < network.link_start[at(node) + 1]; ++l) {
            const int e = network.links[at(l)];
            const Element& element = network.elements[at(e)];
            if (!open[at(e)]) continue;
            if (element.tail == node) arrive(element.head);
            if (element.head == node && !element.one_way) arrive(element.tail);
        }
    }
    for (std::size_t e = 0; e < open.size(); ++e) {
        const Element& element = network.elements[e];
        state.active[e] = open[e] && (element.tail == fixed || state.reached[at(element.tail)]) &&
                          (element.head == fixed || state.reached[at(element.head)]);
    }
    return state;
}

void spread_still_heights(const Network& network, State& state) {
    const std::size_t nodes = network.node_elevation.size();
    std::vector<char> flows(nodes, 0);
    for (std::size_t e = 0; e < network.elements.size(); ++e) {
        if (state.flow[e] == 0) continue;
        const Element& element = network.elements[e];
        if (element.tail != fixed) flows[at(element.tail)] = 1;
        if (element.head != fixed) flows[at(element.head)] = 1;
    }
    std::map<int, std::vector<int>> floating;  // by part that floats: its nodes
    // First in, first out: most still water hangs in trees, where each node is raised once.
    std::vector<int> queue;
    for (std::size_t node = 0; node < nodes; ++node) {
        if (!flows[node]) {
            state.height[node] = nowhere;
        } else if (state.floats[node] >= 0) {
            floating[state.floats[node]].push_back(static_cast<int>(node));
        } else {
            queue.push_back(static_cast<int>(node));
        }
    }
    // Heights only rise; a pump may lift a label that was settled, but a node is raised a bounded number of
    // times. What floats comes to rest as a whole, once.
    std::vector<unsigned char> raised(nodes, 0);
    const auto offer = [&](int node, double height) {
        if (node == fixed || !state.reached[at(node)]) return;
        double& own = state.height[at(node)];
        if (flows[at(node)]) {
            const auto part = floating.find(state.floats[at(node)]);
            if (part == floating.end()) return;
            const double shift = height - own;
            for (const int other : part->second) {
                state.height[at(other)] += shift;
                queue.push_back(other);
            }
            floating.erase(part);
            return;
        }
        if (own >= height || raised[at(node)] > 200) return;
        own = height;
        ++raised[at(node)];
        queue.push_back(node);
    };
    for (int e = 0; e < network.first_pipe; ++e) {
        offer(network.elements[at(e)].head, network.elements[at(e)].fixed_height);
    }
    for (std::size_t next = 0; next < queue.size(); ++next) {
        const int node = queue[next];
        const double height = state.height[at(node)];
        for (int l = network.link_start[at(node)]; l < network.link_start[at(node) + 1]; ++l) {
            const int e = network.links[at(l)];
            const Element& element = network.elements[at(e)];
            if (!state.active[at(e)]) continue;
            if (element.tail == node && element.head != fixed) {
                offer(element.head, std::min(height - element.law->losses(0).high, element.held_height));
            } else if (element.head == node && element.tail != fixed && !element.one_way) {
                offer(element.tail, height + element.law->losses(0).low);
            }
        }
    }
}

}  // namespace evenhead::solver
