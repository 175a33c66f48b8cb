// Zones and mainline: breadth-first searches from the supplies and from each valve's outlet that pass no
// valve.
//
// Both are a matter of how the system is built, so that a closed pipe or gate does not part them; a one-way
// element is passed in its direction only. A node that the supplies reach is black before the zones are
// sought, so that no zone enters the mainline; what one zone blackened is made white again for the next.
#include <algorithm>
#include <boost/graph/breadth_first_search.hpp>
#include <boost/pending/queue.hpp>
#include <utility>

#include "model/graph_parts.hpp"

namespace evenhead::model::parts {
namespace {

using Colours = std::vector<boost::default_color_type>;
using Vertex = boost::graph_traits<Graph>::vertex_descriptor;

/// Notes what a search discovers, and the pipe by which it came there.
struct Recorder : boost::default_bfs_visitor {
    std::vector<int>* found;
    std::vector<Index>* arrival;  ///< by node; a device hands on the pipe before it
    const System* system;
    std::vector<Growth>* growths;

    void discover_vertex(Vertex node, const Graph&) const { found->push_back(static_cast<int>(node)); }

    template <class Edge>
    void tree_edge(Edge edge, const Graph& graph) const {
        const Index before = (*arrival)[at(static_cast<int>(source(edge, graph)))], pipe = graph[edge].pipe;
        (*arrival)[at(static_cast<int>(target(edge, graph)))] = pipe != none ? pipe : before;
        if (pipe != none && before != none && larger(pipe, before)) growths->push_back({pipe, before});
    }

    /// Larger in bore; the same nominal size in another kind is no growth.
    bool larger(Index pipe, Index before) const {
        const PipeSize &size = system->pipes[at(pipe)].size, &feeder = system->pipes[at(before)].size;
        const bool same_nominal = !size.nominal.empty() && size.nominal == feeder.nominal;
        return !same_nominal && size.bore.value > feeder.bore.value * (1 + 1e-9);
    }
};

void search(const Graph& graph, const std::vector<int>& from, const Recorder& recorder, Colours& colours) {
    boost::queue<Vertex> waiting;
    boost::breadth_first_visit(
        graph, from.begin(), from.end(), waiting, recorder,
        boost::make_iterator_property_map(colours.begin(), boost::get(boost::vertex_index, graph)));
}

/// What a search found, by which pipes, and the growths it met.
struct Finder {
    std::vector<int> found;
    std::vector<Index> arrival;
    std::vector<Growth> growths;
    Recorder recorder;

    Finder(const System& system, int nodes) : arrival(at(nodes), none) {
        recorder.found = &found;
        recorder.arrival = &arrival;
        recorder.system = &system;
        recorder.growths = &growths;
    }
    Finder(const Finder&) = delete;
    Finder& operator=(const Finder&) = delete;
};

Graph without_valves(const System& system, const Nodes& nodes) {
    GraphMaker maker;
    for (std::size_t p = 0; p < system.pipes.size(); ++p)
        maker.both_ways(nodes.pipe[p][0], nodes.pipe[p][1], static_cast<Index>(p));
    for (std::size_t d = 0; d < system.devices.size(); ++d) {
        maker.arc(nodes.device[d][0], nodes.device[d][1]);
        if (!one_way(system.devices[d])) maker.arc(nodes.device[d][1], nodes.device[d][0]);
    }
    return maker.make(nodes.count);
}

std::vector<int> supply_nodes(const System& system) {
    std::vector<int> from;
    for (const Supply& supply : system.supplies) from.push_back(supply.point);
    return from;
}

void put_zone(const System& system, const Nodes& nodes, Index valve, const std::vector<int>& found,
              std::vector<std::vector<Index>>& zone_of_node, Layout& layout) {
    for (const int node : found) {
        zone_of_node[at(node)].push_back(valve);
        const Index index = point_of(nodes, system.points.size(), node);
        const Point& point = system.points[at(index)];
        // Of another valve in this zone only the inlet is reached, and a valve's zones are those of its
        // outlet.
        if (point.kind == PointKind::valve && node == index) continue;
        std::vector<Index>& zones = layout.zone_of_point[at(index)];
        if (zones.empty() || zones.back() != valve) zones.push_back(valve);
        if (point.kind == PointKind::head && system.heads[at(point.row)].valve == none)
            layout.zone_heads[at(valve)].push_back(point.row);
    }
    std::vector<Index>& heads = layout.zone_heads[at(valve)];
    std::sort(heads.begin(), heads.end());
    heads.erase(std::unique(heads.begin(), heads.end()), heads.end());
}

void refuse_valves_behind_valves(const System& system, const Nodes& nodes,
                                 const std::vector<std::vector<Index>>& zone_of_node, Layout& layout) {
    for (std::size_t v = 0; v < system.valves.size(); ++v) {
        const std::vector<Index>& zones = zone_of_node[at(nodes.valve[v][0])];
        if (zones.empty()) continue;
        const Valve& valve = system.valves[v];
        const std::string& id = system.point_id(valve.point);
        std::vector<Index> upstream;
        for (const Index zone : zones)
            if (zone != static_cast<Index>(v)) upstream.push_back(system.valves[at(zone)].point);
        if (upstream.empty()) {
            layout.errors.push_back({valve.place, id,
                                     "valve " + quoted(id) + " gets its water only from its own outlet",
                                     "feed its inlet from the mainline"});
            continue;
        }
        layout.errors.push_back(
            {valve.place, id, "valve " + quoted(id) + " lies behind the valve " + list_of(system, upstream),
             "make the upstream one a device of type `master` (open in every run), or feed " + quoted(id) +
                 " from the mainline"});
    }
}

}  // namespace

std::vector<Growth> find_zones(const System& system, const Nodes& nodes, Layout& layout) {
    const std::size_t points = system.points.size();
    layout.point_on_mainline.assign(points, 0);
    layout.pipe_on_mainline.assign(system.pipes.size(), 0);
    layout.zone_of_pipe.resize(system.pipes.size());
    layout.zone_of_point.resize(points);
    layout.zone_heads.resize(system.valves.size());

    const Graph graph = without_valves(system, nodes);
    Colours colours(at(nodes.count), boost::white_color);
    Finder finder(system, nodes.count);
    std::vector<int>& found = finder.found;
    search(graph, supply_nodes(system), finder.recorder, colours);
    finder.growths.clear();  // a mainline may grow: it is fed from several sides
    std::vector<char> on_mainline(at(nodes.count), 0);
    for (const int node : found) {
        on_mainline[at(node)] = 1;
        const Index point = point_of(nodes, points, node);
        const bool outlet_of_valve = node != point && system.points[at(point)].kind == PointKind::valve;
        if (!outlet_of_valve) layout.point_on_mainline[at(point)] = 1;
    }

    std::vector<std::vector<Index>> zone_of_node(at(nodes.count));
    for (std::size_t v = 0; v < system.valves.size(); ++v) {
        const Valve& valve = system.valves[v];
        const auto index = static_cast<Index>(v);
        found.clear();
        if (valve.head != none) {
            layout.zone_heads[v] = {valve.head};
        } else if (!on_mainline[at(nodes.valve[v][1])]) {
            finder.arrival[at(nodes.valve[v][1])] = none;
            search(graph, {nodes.valve[v][1]}, finder.recorder, colours);
            put_zone(system, nodes, index, found, zone_of_node, layout);
            for (const int node : found) colours[at(node)] = boost::white_color;
        }
        if (valve.head != none) layout.zone_of_point[at(valve.point)].push_back(index);
    }
    for (std::size_t p = 0; p < system.pipes.size(); ++p) {
        // Both ends are reached together: a pipe has two directions.
        layout.pipe_on_mainline[p] = on_mainline[at(nodes.pipe[p][0])];
        layout.zone_of_pipe[p] = zone_of_node[at(nodes.pipe[p][0])];
    }
    for (std::size_t h = 0; h < system.heads.size(); ++h) {
        const Head& head = system.heads[h];
        if (head.valve != none) continue;
        if (layout.point_on_mainline[at(head.point)])
            layout.heads_on_mainline.push_back(static_cast<Index>(h));
        if (layout.zone_of_point[at(head.point)].size() > 1)
            layout.heads_two_valves.push_back(static_cast<Index>(h));
    }
    refuse_valves_behind_valves(system, nodes, zone_of_node, layout);
    return std::move(finder.growths);
}

void find_reach(const System& system, const Nodes& nodes, Layout& layout) {
    GraphMaker maker;
    for (std::size_t p = 0; p < system.pipes.size(); ++p)
        if (!system.pipes[p].closed) maker.both_ways(nodes.pipe[p][0], nodes.pipe[p][1]);
    for (std::size_t d = 0; d < system.devices.size(); ++d) {
        if (system.devices[d].closed) continue;
        maker.arc(nodes.device[d][0], nodes.device[d][1]);
        if (!one_way(system.devices[d])) maker.arc(nodes.device[d][1], nodes.device[d][0]);
    }
    for (std::size_t v = 0; v < system.valves.size(); ++v) {
        if (nodes.valve[v][1] == none) continue;
        maker.arc(nodes.valve[v][0], nodes.valve[v][1]);
        if (!system.valves[v].set) maker.arc(nodes.valve[v][1], nodes.valve[v][0]);
    }
    const Graph graph = maker.make(nodes.count);
    Colours colours(at(nodes.count), boost::white_color);
    Finder finder(system, nodes.count);
    search(graph, supply_nodes(system), finder.recorder, colours);

    layout.point_reached.assign(system.points.size(), 0);
    for (const int node : finder.found)
        layout.point_reached[at(point_of(nodes, system.points.size(), node))] = 1;
    for (std::size_t h = 0; h < system.heads.size(); ++h)
        if (!layout.point_reached[at(system.heads[h].point)])
            layout.heads_unfed.push_back(static_cast<Index>(h));
}

}  // namespace evenhead::model::parts
