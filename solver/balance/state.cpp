#include "solver/balance/state.hpp"
#include "model/position.hpp"

#include <algorithm>

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
    state.nodes = {{0, static_cast<int>(state.reached.size())}};
    state.elements = {{0, static_cast<int>(open.size())}};
    return state;
}

}  // namespace evenhead::solver
