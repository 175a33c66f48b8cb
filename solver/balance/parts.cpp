#include "solver/balance/parts.hpp"
#include "model/position.hpp"

#include <boost/pending/disjoint_sets.hpp>

namespace evenhead::solver {
namespace {

int number_parts(const Network& network, const State& state, std::vector<int>& part_of_node) {
    const std::size_t nodes = network.node_elevation.size();
    boost::disjoint_sets_with_storage<> joined(nodes);
    for (std::size_t e = 0; e < network.elements.size(); ++e) {
        const Element& of = network.elements[e];
        if (!state.active[e] || of.regulates() || of.tail == fixed || of.head == fixed) continue;
        joined.union_set(at(of.tail), at(of.head));
    }
    int parts = 0;
    std::vector<int> number(nodes, -1);
    part_of_node.resize(nodes);
    for (std::size_t node = 0; node < nodes; ++node) {
        int& of = number[joined.find_set(node)];
        if (of < 0) of = parts++;
        part_of_node[node] = of;
    }
    return parts;
}

}  // namespace

Parts divide(const Network& network, const State& state) {
    Parts parts;
    for (std::size_t e = 0; e < network.elements.size(); ++e) {
        if (state.active[e] && network.elements[e].regulates())
            parts.regulators.push_back(static_cast<int>(e));
    }
    if (parts.regulators.empty()) return parts;
    const std::size_t count = at(number_parts(network, state, parts.of_node));
    parts.elements.resize(count);
    parts.leading_on.resize(count);
    std::vector<char> supplied(count, 0);
    std::vector<int> ways_in(count, 0), way_in(count, -1);
    for (std::size_t e = 0; e < network.elements.size(); ++e) {
        const Element& of = network.elements[e];
        if (!state.active[e]) continue;
        if (of.regulates()) {
            const int regulator = static_cast<int>(e), below = parts.below(network, regulator);
            parts.leading_on[at(parts.above(network, regulator))].push_back(regulator);
            ++ways_in[at(below)];
            way_in[at(below)] = regulator;
        } else {
            const int part = parts.of_node[at(of.tail == fixed ? of.head : of.tail)];
            parts.elements[at(part)].push_back(static_cast<int>(e));
            if (of.tail == fixed) supplied[at(part)] = 1;
        }
    }
    // Owned parts, found from the leaves: a part waits until all parts beyond are owned.
    parts.owned.assign(count, 0);
    std::vector<std::size_t> waiting_for(count), ready;
    const auto single = [&](std::size_t part) { return !supplied[part] && ways_in[part] == 1; };
    for (std::size_t part = 0; part < count; ++part) {
        waiting_for[part] = parts.leading_on[part].size();
        if (single(part) && waiting_for[part] == 0) ready.push_back(part);
    }
    for (std::size_t i = 0; i < ready.size(); ++i) {
        parts.owned[ready[i]] = 1;
        const std::size_t above = at(parts.above(network, way_in[ready[i]]));
        if (--waiting_for[above] == 0 && single(above)) ready.push_back(above);
    }
    for (const int regulator : parts.regulators) {
        if (!parts.owned[at(parts.below(network, regulator))]) parts.shared.push_back(regulator);
    }
    return parts;
}

}  // namespace evenhead::solver
