#include <algorithm>
#include <unordered_map>

#include "solver/together/maximal_parts.hpp"

namespace evenhead::solver {

std::vector<char> maximal_sets(const std::vector<ValveSet>& sets) {
    // Most are held by a set one valve larger, which is found by its name; what is left is compared with all.
    std::unordered_map<ValveSet, std::size_t, ValveSetHash> places;
    for (std::size_t i = 0; i < sets.size(); ++i) places.emplace(sets[i], i);
    std::vector<char> largest(sets.size(), 1);
    for (const ValveSet& set : sets) {
        for (std::size_t left_out = 0; left_out < set.size(); ++left_out) {
            ValveSet less = set;
            less.erase(less.begin() + static_cast<std::ptrdiff_t>(left_out));
            if (const auto place = places.find(less); place != places.end()) largest[place->second] = 0;
        }
    }
    std::vector<std::size_t> kept, order;  // largest first
    for (std::size_t i = sets.size(); i-- > 0;)
        if (largest[i] != 0) order.push_back(i);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return sets[a].size() > sets[b].size(); });
    for (const std::size_t i : order) {
        const bool held = std::any_of(kept.begin(), kept.end(), [&](std::size_t other) {
            return sets[other].size() > sets[i].size() + 1 &&
                   std::includes(sets[other].begin(), sets[other].end(), sets[i].begin(), sets[i].end());
        });
        if (held)
            largest[i] = 0;
        else
            kept.push_back(i);
    }
    return largest;
}

}  // namespace evenhead::solver
