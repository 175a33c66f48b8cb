// What is legal but suspicious: a warning, never silence.
#include <algorithm>
#include <cmath>

#include "model/graph_parts.hpp"
#include "model/nearest.hpp"
#include "model/takeoff/takeoff.hpp"

namespace evenhead::model::parts {
namespace {

std::vector<int> pipes_at_points(const System& system) {
    std::vector<int> count(system.points.size(), 0);
    for (const Pipe& pipe : system.pipes) {
        ++count[at(pipe.from)];
        ++count[at(pipe.to)];
    }
    return count;
}

/// The id that was probably meant: rather one that no pipe names yet, then one with a row of its own, then
/// any.
std::string probably_meant(const System& system, const std::vector<int>& pipes, Index point) {
    const std::string& id = system.point_id(point);
    NearestName alone(id), with_row(id), any(id);
    for (std::size_t i = 0; i < system.points.size(); ++i) {
        if (static_cast<Index>(i) == point) continue;
        const std::string& other = system.points[i].id;
        if (pipes[i] == 0)
            alone.offer(other);
        else if (system.points[i].kind != PointKind::plain)
            with_row.offer(other);
        else
            any.offer(other);
    }
    for (const NearestName* names : {&alone, &with_row, &any})
        if (const auto found = names->found()) return std::string(*found);
    return "";
}

void warn_of_dead_ends(const System& system, const std::vector<int>& pipes, Layout& layout) {
    std::vector<Index> alone;
    for (std::size_t i = 0; i < system.points.size(); ++i) {
        const PointKind kind = system.points[i].kind;
        if (pipes[i] == 1 && kind == PointKind::plain) layout.dead_ends.push_back(static_cast<Index>(i));
        // Wires begin there: it needs no water.
        const bool controller = kind == PointKind::plain && names_a_controller(system.points[i].id);
        if (pipes[i] == 0 && kind != PointKind::device && kind != PointKind::valve && !controller)
            alone.push_back(static_cast<Index>(i));
    }
    // Looking for the id that was meant reads all ids: in a very large system only for the first dead ends.
    constexpr std::size_t readings = 20'000'000, least = 20, most = 1000;
    const std::size_t told =
        std::clamp(readings / std::max<std::size_t>(system.points.size(), 1), least, most);
    for (std::size_t i = 0; i < std::min(told, layout.dead_ends.size()); ++i) {
        const Index end = layout.dead_ends[i];
        const Point& point = system.points[at(end)];
        const std::string meant = probably_meant(system, pipes, end);
        layout.warnings.push_back(
            {point.place, point.id, "a pipe ends at " + quoted(point.id) + ", where nothing else is",
             meant.empty() ? "a dead end, or an id misspelt"
                           : "a dead end, or an id misspelt: is it " + quoted(meant) + "?"});
    }
    if (layout.dead_ends.size() > told) {
        const std::vector<Index> rest(layout.dead_ends.begin() + static_cast<std::ptrdiff_t>(told),
                                      layout.dead_ends.end());
        const Point& first = system.points[at(rest.front())];
        layout.warnings.push_back({first.place, first.id,
                                   "pipes end where nothing else is: at " + list_of(system, rest),
                                   "dead ends, or ids misspelt"});
    }
    for (const Index index : alone) {
        const Point& point = system.points[at(index)];
        layout.warnings.push_back({point.place, point.id, quoted(point.id) + " is on no pipe",
                                   "run a pipe to it, or leave its row out"});
    }
}

void warn_of_valves(const System& system, Layout& layout) {
    if (!system.valves.empty() && !layout.heads_on_mainline.empty()) {
        std::vector<Index> points;
        for (const Index head : layout.heads_on_mainline) points.push_back(system.heads[at(head)].point);
        const Point& first = system.points[at(points.front())];
        const bool one = points.size() == 1;
        layout.warnings.push_back({first.place, first.id,
                                   (one ? "head " : "heads ") + list_of(system, points) +
                                       (one ? " is" : " are") +
                                       " upstream of every valve and will water in every run",
                                   "put a valve between the supply and " + std::string(one ? "it" : "them")});
    }
    for (std::size_t v = 0; v < system.valves.size(); ++v) {
        const Valve& valve = system.valves[v];
        if (!layout.zone_heads[v].empty() || layout.valve_sides[v].outlet.empty()) continue;
        const std::string& id = system.point_id(valve.point);
        const bool bypassed = layout.pipe_on_mainline[at(layout.valve_sides[v].outlet.front())];
        layout.warnings.push_back(
            {valve.place, id,
             "valve " + quoted(id) +
                 (bypassed ? " has the mainline on both sides: it shuts nothing off" : " waters no head"),
             bypassed ? "part the pipes behind it from the mainline" : "add the heads of its zone"});
    }
}

/// Only where one valve alone feeds the pipe, and not in a loop: elsewhere the direction of flow is not
/// known.
void warn_of_growing_laterals(const System& system, const std::vector<Growth>& growths, Layout& layout) {
    for (const Growth& growth : growths) {
        if (layout.zone_of_pipe[at(growth.pipe)].size() != 1 || layout.pipe_in_loop[at(growth.pipe)] ||
            layout.pipe_in_loop[at(growth.feeder)])
            continue;
        const Pipe &pipe = system.pipes[at(growth.pipe)], &feeder = system.pipes[at(growth.feeder)];
        const std::string id = system.pipe_id(pipe), feeder_id = system.pipe_id(feeder);
        layout.warnings.push_back({pipe.place, id,
                                   "the lateral grows in the direction of flow: pipe " + quoted(id) +
                                       " is larger than pipe " + quoted(feeder_id) + " that feeds it",
                                   "swap the sizes, or make " + quoted(feeder_id) + " as large"});
    }
}

/// How far two points are apart in plan (0 where coordinates are missing).
double plan_distance(const Point& one, const Point& other) {
    if (!one.x || !one.y || !other.x || !other.y) return 0;
    const double distance = std::hypot(one.x->value - other.x->value, one.y->value - other.y->value);
    return std::isnan(distance) ? 0 : distance;
}

/// A length off by what rounding and scaling from a drawing bring is fine: 1 % and half a foot. So is the
/// distance in plan itself, where the drawing gave it.
void warn_of_short_pipes(const System& system, Layout& layout) {
    constexpr double share = 0.01, rounding = 0.1524;
    for (const Pipe& pipe : system.pipes) {
        if (!pipe.length.known()) continue;
        const Point &from = system.points[at(pipe.from)], &to = system.points[at(pipe.to)];
        const double plan = plan_distance(from, to), length = pipe.length.value;
        const bool both = (from.elevation || system.ground) && (to.elevation || system.ground);
        const double rise = both ? layout.elevation[at(pipe.from)] - layout.elevation[at(pipe.to)] : 0;
        const double straight = std::isnan(rise) ? plan : std::hypot(plan, rise);
        const bool as_in_plan = plan > 0 && std::abs(length - plan) <= 1e-6 * plan;
        if (as_in_plan || length >= straight * (1 - share) - rounding) continue;
        const std::string id = system.pipe_id(pipe);
        layout.warnings.push_back({pipe.place, id,
                                   "pipe " + quoted(id) + " is shorter than the straight distance from " +
                                       quoted(from.id) + " to " + quoted(to.id),
                                   plan > 0
                                       ? "check its length and the coordinates and elevations of its ends"
                                       : "check its length and the elevations of its ends"});
    }
}

}  // namespace

void find_suspicious(const System& system, const std::vector<Growth>& growths, Layout& layout) {
    warn_of_valves(system, layout);
    warn_of_dead_ends(system, pipes_at_points(system), layout);
    warn_of_growing_laterals(system, growths, layout);
    warn_of_short_pipes(system, layout);
}

}  // namespace evenhead::model::parts
