#include "solver/crew/flushing.hpp"

#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/crew/ways_parts.hpp"

namespace evenhead::solver {
namespace {

std::vector<FlushEnd> with_distances(const std::vector<Index>& points, const Ways& ways) {
    std::vector<FlushEnd> ends;
    for (const Index point : nearest_first(points, ways)) ends.push_back({point, way_to(ways, point)});
    return ends;
}

FlushStage mainline(const model::System& system, const model::Layout& layout, const Ways& ways) {
    FlushStage stage;
    std::vector<Index> ends;
    for (const Index point : layout.dead_ends)
        if (layout.point_on_mainline[at(point)] != 0) ends.push_back(point);
    for (const model::Device& device : system.devices)
        if (device.type == model::DeviceType::quick_coupler &&
            layout.point_on_mainline[at(device.point)] != 0)
            ends.push_back(device.point);
    for (const Index head : layout.heads_on_mainline) ends.push_back(system.heads[at(head)].point);
    if (ends.empty()) {
        Index farthest = model::none;
        for (const model::Valve& valve : system.valves) {
            const double way = way_to(ways, valve.point);
            if (std::isfinite(way) && (farthest == model::none || way > way_to(ways, farthest)))
                farthest = valve.point;
        }
        if (farthest != model::none) ends.push_back(farthest);
        stage.at_valve = farthest != model::none;
    }
    stage.ends = with_distances(ends, ways);
    return stage;
}

}  // namespace

std::vector<FlushStage> flushing_order(const model::System& system, const model::Layout& layout) {
    const Ways from_supplies = ways_from_supplies(system);
    std::vector<FlushStage> stages{mainline(system, layout, from_supplies)};
    const auto pipes = pipes_by_zone(system, layout);
    std::vector<std::vector<Index>> ends(system.valves.size());
    for (std::size_t valve = 0; valve < system.valves.size(); ++valve)
        for (const Index head : layout.zone_heads[valve]) ends[valve].push_back(system.heads[at(head)].point);
    for (const Index point : layout.dead_ends)
        for (const Index valve : layout.zone_of_point[at(point)]) ends[at(valve)].push_back(point);
    std::vector<FlushStage> zones;
    for (std::size_t valve = 0; valve < system.valves.size(); ++valve) {
        FlushStage stage;
        stage.valve = static_cast<Index>(valve);
        const Index point = system.valves[valve].point;
        stage.distance = way_to(from_supplies, point);
        stage.ends = with_distances(ends[valve], ways_along(system, pipes[valve], {point}));
        zones.push_back(std::move(stage));
    }
    std::stable_sort(zones.begin(), zones.end(), [](const FlushStage& one, const FlushStage& other) {
        return one.distance < other.distance;
    });
    stages.insert(stages.end(), zones.begin(), zones.end());
    return stages;
}

}  // namespace evenhead::solver
