#include "solver/sizing/flow_boxes.hpp"

#include <algorithm>
#include <deque>
#include <map>

#include "model/position.hpp"

namespace evenhead::solver {

Interval FlowGraph::flow(const FlowLink& link, const std::vector<Interval>& box) {
    if (link.chord >= 0) return box[at(link.chord)];
    Interval sum;
    for (const auto& [coordinate_of, sign] : link.sum) {
        const Interval& own = box[at(coordinate_of)];
        sum.low += sign > 0 ? own.low : -own.high;
        sum.high += sign > 0 ? own.high : -own.low;
    }
    return sum;
}

FlowGraph make_flow_graph(const TrialBasis& basis, int pair) {
    const RunPair& of = basis.pairs[at(pair)];
    const SizingProblem::Situation& situation = basis.problem.situations[at(of.situation)];
    const Network& net = basis.situations[at(of.situation)].networks.front();
    const State state = reach(net, open_elements(net, situation.system.runs[at(of.run)].valves));
    FlowGraph graph;
    graph.pair = pair;
    std::vector<int> position(net.node_elevation.size(), -1);
    const auto node = [&](int n) {
        if (n == fixed) return -1;
        if (position[at(n)] < 0) {
            position[at(n)] = static_cast<int>(graph.nodes.size());
            graph.nodes.push_back(n);
        }
        return position[at(n)];
    };
    for (std::size_t e = 0; e < net.elements.size(); ++e) {
        if (!state.active[e]) continue;
        FlowLink link;
        link.element = static_cast<int>(e);
        link.tail = node(net.ends[e].tail);
        link.head = node(net.ends[e].head);
        if (link.element >= net.first_pipe && link.element < net.first_device)
            link.open = basis.problem.open_of_pipe[e - at(net.first_pipe)];
        graph.links.push_back(link);
    }
    // A spanning tree from the ground through the first supply; heads are chords, and what closes a ring.
    const std::size_t count = graph.nodes.size();
    std::vector<std::vector<int>> links_at(count + 1);  // the last: the ground
    const auto place = [&](int n) { return n < 0 ? count : at(n); };
    for (std::size_t l = 0; l < graph.links.size(); ++l) {
        if (graph.links[l].element >= net.first_head) continue;
        links_at[place(graph.links[l].tail)].push_back(static_cast<int>(l));
        links_at[place(graph.links[l].head)].push_back(static_cast<int>(l));
    }
    std::vector<int> link_to(count + 1, -1);  // by node: the tree's link towards the ground
    std::vector<char> seen(count + 1, 0);
    std::vector<char> in_tree(graph.links.size(), 0);
    std::deque<std::size_t> waiting{count};
    seen[count] = 1;
    while (!waiting.empty()) {
        const std::size_t here = waiting.front();
        waiting.pop_front();
        for (const int l : links_at[here]) {
            const FlowLink& link = graph.links[at(l)];
            const std::size_t other = place(link.tail) == here ? place(link.head) : place(link.tail);
            if (seen[other]) continue;
            seen[other] = 1;
            in_tree[at(l)] = 1;
            link_to[other] = l;
            waiting.push_back(other);
        }
    }
    for (std::size_t l = 0; l < graph.links.size(); ++l) {
        FlowLink& link = graph.links[l];
        if (in_tree[l]) continue;
        link.chord = static_cast<int>(graph.coordinate.size());
        graph.coordinate.push_back(static_cast<int>(l));
        graph.of_head.push_back(link.element >= net.first_head);
    }
    // A chord takes water from its tail, brought there by the tree, and gives it to its head, whence the tree
    // takes it away: +1 along the way ground -> tail, -1 along ground -> head.
    std::vector<std::map<int, double>> sums(graph.links.size());
    for (std::size_t c = 0; c < graph.coordinate.size(); ++c) {
        const FlowLink& chord = graph.links[at(graph.coordinate[c])];
        for (const auto& [end, sign] : {std::pair{chord.tail, 1.0}, {chord.head, -1.0}}) {
            std::size_t here = place(end);
            while (here != count) {
                const int l = link_to[here];
                const FlowLink& link = graph.links[at(l)];
                const bool towards = place(link.head) == here;  // the link's flow is counted towards here
                sums[at(l)][static_cast<int>(c)] += towards ? sign : -sign;
                here = towards ? place(link.tail) : place(link.head);
            }
        }
    }
    for (std::size_t l = 0; l < graph.links.size(); ++l)
        for (const auto& [c, sign] : sums[l])
            if (sign != 0) graph.links[l].sum.emplace_back(c, sign);
    return graph;
}

}  // namespace evenhead::solver
