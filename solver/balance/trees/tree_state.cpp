#include "solver/balance/trees/tree_state.hpp"

#include <algorithm>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

constexpr char always = 1, opened = 2;  // why an element is listed

// The positions that are marked, rising.
Spans collect(const std::vector<char>& marked) {
    Spans positions;
    for (std::size_t i = 0; i < marked.size(); ++i) {
        if (marked[i]) append(positions, static_cast<int>(i));
    }
    return positions;
}

Spans sorted(std::vector<int>& positions) {
    std::sort(positions.begin(), positions.end());
    Spans spans;
    for (const int position : positions) append(spans, position);
    return spans;
}

}  // namespace

TreeState::TreeState(const Network& network, const Structure& structure, const Selection& selection)
    : net_(network), structure_(structure), selection_(selection) {
    state.height.assign(network.node_elevation.size(), nowhere);
    state.flow.assign(network.elements.size(), 0.0);
    state.reached.assign(network.node_elevation.size(), 0);
    state.active.assign(network.elements.size(), 0);
    for (int s = 0; s < network.first_pipe; ++s) state.active[at(s)] = 1;
    for (std::size_t core = 0; core < structure.core_node.size(); ++core)
        state.reached[at(structure.core_node[core])] = structure.core_reached[core];
    for (const CoreChain& chain : structure.chains) {
        if (!structure.core_reached[at(structure.junction_node[at(chain.from)])]) continue;
        for (int step = chain.first; step < chain.last; ++step)
            state.active[at(structure.step_element[at(step)])] = 1;
    }
    for (const int place : selection_.always()) activate(place);
    for (std::size_t i = selection_.always().size(); i-- > 0;)
        note_still(selection_.always()[i], still_always_);
    list_always();
}

Spans TreeState::elements_reached() const {
    const auto reached = [&](int node) { return node != fixed && state.reached[at(node)]; };
    Spans elements;
    for (std::size_t e = 0; e < net_.ends.size(); ++e) {
        if (reached(net_.ends[e].tail) || reached(net_.ends[e].head)) append(elements, static_cast<int>(e));
    }
    return elements;
}

void TreeState::list_always() {
    always_nodes_ = collect(state.reached);
    always_elements_ = elements_reached();
    listed_.assign(net_.elements.size(), 0);
    for_each(always_elements_, [&](int element) { listed_[at(element)] = always; });
    state.nodes = always_nodes_;
    state.elements = always_elements_;
}

// The nodes that the run's valves opened, and what stands at them.
void TreeState::list_opened() {
    if (4 * selection_.opened().size() > structure_.places()) {  // most of the system: looked through at once
        state.nodes = collect(state.reached);
        state.elements = elements_reached();
        return;
    }
    std::vector<int> nodes, elements;
    for (const int place : selection_.opened()) {
        const int node = structure_.node[at(place)];
        if (structure_.element[at(place)] >= 0) nodes.push_back(node);
        for (int l = net_.link_start[at(node)]; l < net_.link_start[at(node) + 1]; ++l) {
            const int element = net_.links[at(l)];
            if (listed_[at(element)]) continue;
            listed_[at(element)] = opened;
            elements.push_back(element);
        }
    }
    join(always_nodes_, sorted(nodes), state.nodes);
    join(always_elements_, sorted(elements), state.elements);
}

void TreeState::activate(int place) {
    state.reached[at(structure_.node[at(place)])] = 1;
    if (structure_.element[at(place)] >= 0) state.active[at(structure_.element[at(place)])] = 1;
    if (structure_.head[at(place)] >= 0) state.active[at(structure_.head[at(place)])] = 1;
}

void TreeState::forget() {
    for (const int place : selection_.flowing()) {
        for (const int element : {structure_.element[at(place)], structure_.head[at(place)]}) {
            if (element >= 0) state.flow[at(element)] = 0;
        }
    }
    for (const int place : selection_.opened()) {
        const int node = structure_.node[at(place)];
        for (int l = net_.link_start[at(node)]; l < net_.link_start[at(node) + 1]; ++l)
            listed_[at(net_.links[at(l)])] &= always;
        state.height[at(structure_.node[at(place)])] = nowhere;
        state.reached[at(structure_.node[at(place)])] = 0;
        for (const int element : {structure_.element[at(place)], structure_.head[at(place)]}) {
            if (element >= 0) state.active[at(element)] = 0;
        }
    }
}

void TreeState::take_in() {
    for (const int place : selection_.opened()) activate(place);
    list_opened();
}

// What stands still has the height above it, less what its law takes at rest.
void TreeState::note_still(int place, std::vector<Still>& still) const {
    const int element = structure_.element[at(place)], parent = structure_.parent[at(place)];
    if (element < 0) return;
    const Element& of = net_.elements[at(element)];
    const LossRange at_rest = of.law->losses(0);
    still.push_back({place, structure_.node[at(place)],
                     parent >= 0 ? structure_.node[at(parent)] : structure_.core_node[at(~parent)],
                     structure_.uphill[at(place)] ? -at_rest.low : at_rest.high,
                     structure_.uphill[at(place)] ? infinity : of.held_height});
}

// Parents come first.
void TreeState::rest(const std::vector<Still>& still) {
    for (const Still& of : still) {
        if (selection_.draw()[at(of.place)] > 0) continue;
        state.height[at(of.node)] = std::min(state.height[at(of.above)] - of.drop, of.held);
    }
}

void TreeState::rest() {
    still_opened_.clear();
    for (const int place : selection_.opened()) {
        if (selection_.draw()[at(place)] == 0) note_still(place, still_opened_);
    }
    rest(still_always_);
    rest(still_opened_);
}

}  // namespace evenhead::solver
