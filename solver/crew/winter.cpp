// Low places. Points of equal height that pipes join are one flat; a flat from which every pipe goes up, and
// any does, keeps its water. Of such a flat the first point of the case is named.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "model/position.hpp"
#include "solver/crew/drainage.hpp"
#include "solver/crew/ways_parts.hpp"

namespace evenhead::solver {
namespace {

constexpr double level_with = 1e-3;  // m: no higher is the same height

std::vector<Index> low_places(const model::System& system, const model::Layout& layout,
                              const std::vector<Index>& pipes) {
    std::map<Index, std::vector<Index>> next;
    for (const Index pipe : pipes) {
        const model::Pipe& of = system.pipes[at(pipe)];
        next[of.from].push_back(of.to);
        next[of.to].push_back(of.from);
    }
    std::vector<Index> low;
    std::set<Index> seen;
    for (const auto& [start, around] : next) {
        if (seen.contains(start)) continue;
        bool rises = false, falls = false;
        std::vector<Index> flat{start};
        seen.insert(start);
        for (std::size_t i = 0; i < flat.size(); ++i)
            for (const Index other : next[flat[i]]) {
                const double rise = layout.elevation[at(other)] - layout.elevation[at(flat[i])];
                rises = rises || rise > level_with;
                falls = falls || rise < -level_with;
                if (std::abs(rise) <= level_with && seen.insert(other).second) flat.push_back(other);
            }
        if (rises && !falls) low.push_back(start);
    }
    return low;
}

model::Material weaker(model::Material one, model::Material other) {
    const auto rank = [](model::Material material) {
        return material == model::Material::polyethylene ? 0 : material == model::Material::pvc ? 1 : 2;
    };
    return rank(one) <= rank(other) ? one : other;
}

WinterPart part_of_pipes(const model::System& system, const model::Layout& layout, Index valve,
                         const std::vector<Index>& pipes, const Ways& ways) {
    WinterPart part;
    part.valve = valve;
    bool first = true;
    for (const Index pipe : pipes) {
        const model::Pipe& of = system.pipes[at(pipe)];
        const double volume = volume_of(of);
        if (of.length.known()) part.length += of.length.value;
        if (std::isnan(volume))
            ++part.unknown;
        else
            part.volume += volume;
        part.weakest = first ? of.size->material : weaker(part.weakest, of.size->material);
        first = false;
        for (const Index point : {of.from, of.to}) {
            part.highest = std::max(part.highest, layout.elevation[at(point)]);
            const double way = way_to(ways, point);
            if (std::isfinite(way)) part.farthest = std::max(part.farthest, way);
        }
    }
    part.lowest = low_places(system, layout, pipes);
    return part;
}

}  // namespace

std::vector<WinterPart> winter_order(const model::System& system, const model::Layout& layout) {
    const Ways ways = ways_from_supplies(system);
    const auto zones = pipes_by_zone(system, layout);
    std::vector<WinterPart> parts;
    for (std::size_t valve = 0; valve < zones.size(); ++valve)
        if (!zones[valve].empty())
            parts.push_back(part_of_pipes(system, layout, static_cast<Index>(valve), zones[valve], ways));
    std::stable_sort(parts.begin(), parts.end(), [](const WinterPart& one, const WinterPart& other) {
        const double high = std::round(one.highest / level_with),
                     low = std::round(other.highest / level_with);
        return high != low ? high > low : one.farthest > other.farthest;
    });
    std::vector<Index> main;
    for (std::size_t i = 0; i < system.pipes.size(); ++i)
        if (layout.pipe_on_mainline[i] != 0) main.push_back(static_cast<Index>(i));
    if (!main.empty()) parts.push_back(part_of_pipes(system, layout, model::none, main, ways));
    return parts;
}

}  // namespace evenhead::solver
