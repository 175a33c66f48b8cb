#include "model/graph.hpp"

#include <algorithm>

#include "model/graph_parts.hpp"

namespace evenhead::model {
namespace parts {

std::string list_of(const System& system, const std::vector<Index>& points) {
    constexpr std::size_t most = 5;
    std::string text;
    const std::size_t shown = points.size() <= most + 1 ? points.size() : most;
    for (std::size_t i = 0; i < shown; ++i) {
        if (i > 0) text += i + 1 == points.size() ? " and " : ", ";
        text += quoted(system.point_id(points[i]));
    }
    if (shown < points.size()) text += " and " + std::to_string(points.size() - shown) + " more";
    return text;
}

namespace {

/// The end of a pipe at a device or valve falls on the inlet side where `to` names it, else on the outlet
/// side.
void put_on_sides(const System& system, Layout& layout) {
    const bool own_valves = std::any_of(system.valves.begin(), system.valves.end(),
                                        [](const Valve& valve) { return valve.head != none; });
    for (std::size_t p = 0; p < system.pipes.size(); ++p) {
        const std::array<Index, 2> ends{system.pipes[p].from, system.pipes[p].to};
        for (std::size_t end = 0; end < 2; ++end) {
            const Point& point = system.points[at(ends[end])];
            Sides* sides = nullptr;
            bool inlet = end == 1;
            if (point.kind == PointKind::device) sides = &layout.device_sides[at(point.row)];
            if (point.kind == PointKind::valve) sides = &layout.valve_sides[at(point.row)];
            if (own_valves && point.kind == PointKind::head && system.heads[at(point.row)].valve != none) {
                sides = &layout.valve_sides[at(system.heads[at(point.row)].valve)];
                inlet = true;
            }
            if (sides != nullptr) (inlet ? sides->inlet : sides->outlet).push_back(static_cast<Index>(p));
        }
    }
}

/// A gate takes any two pipes: where both arrive or both leave, the first of the file is the inlet.
void turn_gate(Sides& sides) {
    if (sides.inlet.size() + sides.outlet.size() != 2 || sides.inlet.size() == 1) return;
    const std::vector<Index>& both = sides.inlet.empty() ? sides.outlet : sides.inlet;
    const std::array<Index, 2> pipes{both[0], both[1]};
    sides.inlet = {pipes[0]};
    sides.outlet = {pipes[1]};
}

void check_sides(const System& system, Index point, const Place& place, const char* what, bool gate,
                 const Sides& sides, Layout& layout) {
    if (!sides.inlet.empty() && !sides.outlet.empty()) return;
    Issue issue{place, system.point_id(point), "", ""};
    const std::string name = std::string(what) + " " + quoted(system.point_id(point));
    const std::size_t pipes = sides.inlet.size() + sides.outlet.size();
    if (pipes == 0) {
        issue.text = name + " is on no pipe";
        issue.mend = "run a pipe to it (`to`) and a pipe from it (`from`)";
    } else if (gate) {
        issue.text =
            name + " is on " + std::to_string(pipes) + (pipes == 1 ? " pipe" : " pipes, all on one side");
        issue.mend = pipes == 1 ? "a gate joins two pipes: add the other one, or make the place a plain point"
                                : "a gate joins two pipes: gather the others at a tee";
    } else if (sides.inlet.empty()) {
        issue.text = name + " has no inlet: no pipe has it as `to`";
        issue.mend =
            "turn the pipe on its supply side round, so that its `to` is " + quoted(system.point_id(point));
    } else {
        issue.text = name + " has no outlet: no pipe has it as `from`";
        issue.mend =
            "let the pipe that leaves it start there, with `from` = " + quoted(system.point_id(point));
    }
    layout.errors.push_back(issue);
}

/// Marks the pipe ends on the outlet side. A pipe's end is on it by its direction, save at a gate that was
/// turned.
void mark_ends(const System& system, const Sides& sides, Index point, Layout& layout) {
    for (const Index pipe : sides.outlet) {
        const bool leaves = system.pipes[at(pipe)].from == point;
        layout.end_on_outlet[at(pipe)][leaves ? 0 : 1] = true;
    }
}

}  // namespace

Nodes find_sides(const System& system, Layout& layout) {
    layout.device_sides.resize(system.devices.size());
    layout.valve_sides.resize(system.valves.size());
    layout.end_on_outlet.resize(system.pipes.size());
    put_on_sides(system, layout);

    Nodes nodes;
    nodes.count = static_cast<int>(system.points.size());
    std::vector<int> outlet(system.points.size());
    for (std::size_t i = 0; i < outlet.size(); ++i) outlet[i] = static_cast<int>(i);
    const auto part = [&](Index point, const Sides& sides) {
        mark_ends(system, sides, point, layout);
        outlet[at(point)] = nodes.count++;
        nodes.outlet_point.push_back(point);
        return std::array<int, 2>{point, outlet[at(point)]};
    };
    for (std::size_t d = 0; d < system.devices.size(); ++d) {
        const Device& device = system.devices[d];
        Sides& sides = layout.device_sides[d];
        const bool gate = device.type == DeviceType::gate;
        if (gate) turn_gate(sides);
        check_sides(system, device.point, system.points[at(device.point)].place, gate ? "gate" : "device",
                    gate, sides, layout);
        nodes.device.push_back(part(device.point, sides));
    }
    for (std::size_t v = 0; v < system.valves.size(); ++v) {
        const Valve& valve = system.valves[v];
        if (valve.head != none) {
            nodes.valve.push_back({valve.point, none});
            continue;
        }
        check_sides(system, valve.point, valve.place, "valve", false, layout.valve_sides[v], layout);
        nodes.valve.push_back(part(valve.point, layout.valve_sides[v]));
    }
    nodes.pipe.reserve(system.pipes.size());
    for (std::size_t p = 0; p < system.pipes.size(); ++p) {
        const Pipe& pipe = system.pipes[p];
        const auto& on_outlet = layout.end_on_outlet[p];
        nodes.pipe.push_back(
            {on_outlet[0] ? outlet[at(pipe.from)] : pipe.from, on_outlet[1] ? outlet[at(pipe.to)] : pipe.to});
    }
    return nodes;
}

Passages find_passages(const System& system, const Nodes& nodes) {
    return {at(nodes.count), [&](const auto& put) {
                int element = 0;
                const auto both = [&](const std::array<int, 2>& link, bool back) {
                    put(link[0], Passage{link[1], element});
                    if (back) put(link[1], Passage{link[0], element});
                };
                for (std::size_t p = 0; p < nodes.pipe.size(); ++p, ++element) both(nodes.pipe[p], true);
                for (std::size_t d = 0; d < nodes.device.size(); ++d, ++element)
                    both(nodes.device[d], !one_way(system.devices[d]));
                for (std::size_t v = 0; v < nodes.valve.size(); ++v, ++element)
                    if (nodes.valve[v][1] != none) both(nodes.valve[v], !system.valves[v].set);
            }};
}

}  // namespace parts

Layout find_layout(const System& system) {
    Layout layout;
    const parts::Nodes nodes = parts::find_sides(system, layout);
    parts::find_elevations(system, layout);
    std::vector<parts::Growth> growths;
    {
        const parts::Passages passages = parts::find_passages(system, nodes);
        growths = parts::find_zones(system, nodes, passages, layout);
        parts::find_reach(system, nodes, passages, layout);
    }
    parts::find_loops(system, nodes, layout);
    parts::find_lossless_rings(system, nodes, layout);
    parts::find_endless_pumps(system, nodes, layout);
    parts::find_suspicious(system, growths, layout);
    return layout;
}

}  // namespace evenhead::model
