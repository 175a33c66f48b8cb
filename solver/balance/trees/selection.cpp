#include "solver/balance/trees/selection.hpp"

#include <algorithm>

#include "model/position.hpp"

namespace evenhead::solver {

Selection::Selection(const Network& network, const Structure& structure, const Parameters& parameters)
    : net_(network),
      structure_(structure),
      set_(parameters),
      valve_place_(at(network.first_head - network.first_valve), -1),
      valve_open_(valve_place_.size(), 0),
      reached_(structure.places(), 0),
      on_way_(structure.places(), 0),
      draw_(structure.places(), 0.0) {
    const int places = static_cast<int>(structure.places());
    for (int place = 0; place < places; ++place) {
        const int element = structure.element[at(place)];
        if (element >= network.first_valve) valve_place_[at(element - network.first_valve)] = place;
    }
    for (int place = places - 1; place >= 0; --place) {
        if (!passes(place)) continue;
        reached_[at(place)] = 1;
        always_.push_back(place);
    }
    std::reverse(always_.begin(), always_.end());
    for (const int place : always_) {
        draw_[at(place)] += set_.nominal[at(place)];
        if (draw_[at(place)] == 0) continue;
        always_flowing_.push_back(place);
        if (structure.parent[at(place)] >= 0) draw_[at(structure.parent[at(place)])] += draw_[at(place)];
    }
    flowing_ = always_flowing_;
}

// Water at the parent goes on to the place.
bool Selection::passes(int place) const {
    const int parent = structure_.parent[at(place)];
    if (parent >= 0 ? !reached_[at(parent)] : !structure_.core_reached[at(~parent)]) return false;
    const int element = structure_.element[at(place)];
    if (element < 0) return true;
    if (element >= net_.first_valve && !valve_open_[at(element - net_.first_valve)]) return false;
    return !structure_.shut[at(place)];
}

void Selection::reach(int root, std::vector<int>& reached) {
    for (int place = root; place >= structure_.subtree[at(root)]; --place) {
        if (!passes(place)) continue;
        reached_[at(place)] = 1;
        reached.push_back(place);
    }
}

// The branches that lead to a place, up to what is on the way already.
void Selection::add_way(int place) {
    while (place >= 0 && !on_way_[at(place)]) {
        on_way_[at(place)] = 1;
        way_.push_back(place);
        place = structure_.parent[at(place)];
    }
}

void Selection::open(const std::vector<Index>& valves) {
    for (const int place : opened_) reached_[at(place)] = 0;
    for (const int place : flowing_) draw_[at(place)] = 0;
    opened_.clear();
    flowing_.clear();
    way_.clear();
    for (const Index valve : valves) valve_open_[at(valve)] = 1;
    std::vector<int> roots;
    for (const Index valve : valves) {
        if (valve_place_[at(valve)] >= 0) roots.push_back(valve_place_[at(valve)]);
    }
    std::sort(roots.begin(), roots.end());
    // The outer of two valves comes first, and reaches through the inner one.
    std::vector<std::size_t> blocks;  // where each root's places begin in opened_
    for (std::size_t i = roots.size(); i-- > 0;) {
        if (reached_[at(roots[i])]) continue;
        blocks.push_back(opened_.size());
        reach(roots[i], opened_);
        if (blocks.back() < opened_.size()) add_way(structure_.parent[at(roots[i])]);
    }
    for (const Index valve : valves) valve_open_[at(valve)] = 0;
    for (const int place : always_flowing_) add_way(place);

    // Falling throughout, since the roots fell: taken from the end they rise.
    const auto add = [&](int place) {
        draw_[at(place)] += set_.nominal[at(place)];
        if (draw_[at(place)] == 0) return;
        flowing_.push_back(place);
        if (structure_.parent[at(place)] >= 0) draw_[at(structure_.parent[at(place)])] += draw_[at(place)];
    };
    for (std::size_t i = opened_.size(); i-- > 0;) add(opened_[i]);
    const auto opened_flowing = static_cast<std::ptrdiff_t>(flowing_.size());
    std::sort(way_.begin(), way_.end());
    for (const int place : way_) {
        on_way_[at(place)] = 0;
        add(place);
    }
    std::inplace_merge(flowing_.begin(), flowing_.begin() + opened_flowing, flowing_.end());
    total_ = 0;
    for (const int place : flowing_) {
        if (structure_.parent[at(place)] < 0) total_ += draw_[at(place)];
    }
}

}  // namespace evenhead::solver
