#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <queue>
#include <utility>

#include "model/position.hpp"
#include "solver/crew/ways_parts.hpp"

namespace evenhead::solver {

Ways ways_along(const model::System& system, const std::vector<Index>& pipes,
                const std::vector<Index>& from) {
    std::unordered_map<Index, std::vector<std::pair<Index, double>>> next;
    for (const Index pipe : pipes) {
        const model::Pipe& of = system.pipes[at(pipe)];
        const double length = of.length.known() ? of.length.value : 0;
        next[of.from].emplace_back(of.to, length);
        next[of.to].emplace_back(of.from, length);
    }
    Ways found;
    using Step = std::pair<double, Index>;
    std::priority_queue<Step, std::vector<Step>, std::greater<>> open;
    for (const Index point : from) open.emplace(0.0, point);
    while (!open.empty()) {
        const auto [length, point] = open.top();
        open.pop();
        if (!found.try_emplace(point, length).second) continue;
        const auto onward = next.find(point);
        if (onward == next.end()) continue;
        for (const auto& [other, step] : onward->second)
            if (!found.contains(other)) open.emplace(length + step, other);
    }
    return found;
}

Ways ways_from_supplies(const model::System& system) {
    std::vector<Index> pipes(system.pipes.size()), from;
    std::iota(pipes.begin(), pipes.end(), 0);
    for (const model::Supply& supply : system.supplies) from.push_back(supply.point);
    return ways_along(system, pipes, from);
}

std::vector<std::vector<Index>> pipes_by_zone(const model::System& system, const model::Layout& layout) {
    std::vector<std::vector<Index>> pipes(system.valves.size());
    for (std::size_t i = 0; i < system.pipes.size(); ++i)
        for (const Index valve : layout.zone_of_pipe[i]) pipes[at(valve)].push_back(static_cast<Index>(i));
    return pipes;
}

std::vector<Index> nearest_first(std::vector<Index> points, const Ways& ways) {
    // Sums of the same lengths in another order are equally far.
    const auto micrometres = [&](Index point) { return std::round(way_to(ways, point) * 1e6); };
    std::stable_sort(points.begin(), points.end(),
                     [&](Index one, Index other) { return micrometres(one) < micrometres(other); });
    return points;
}

double way_to(const Ways& ways, Index point) {
    const auto found = ways.find(point);
    return found == ways.end() ? std::numeric_limits<double>::infinity() : found->second;
}

}  // namespace evenhead::solver
