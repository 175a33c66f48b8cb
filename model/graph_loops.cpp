// Loops and rings: biconnected components.
//
// Elements that end where nothing else is are in no loop, nor are those that do once these are left out: the
// trees are peeled off leaf by leaf first, since they are most of a system.
//
// Every pipe, device and valve that is left is a vertex of its own between its two nodes, so that two
// elements side by side are a cycle of four vertices rather than a double edge (which the search would take
// for one). A component of two or more elements is a looped part.
#include <algorithm>
#include <boost/graph/biconnected_components.hpp>
#include <boost/graph/compressed_sparse_row_graph.hpp>
#include <utility>

#include "model/graph_parts.hpp"

namespace evenhead::model::parts {
namespace {

/// Two nodes joined by an element.
using Link = std::array<int, 2>;
using Graph = boost::compressed_sparse_row_graph<boost::directedS, boost::no_property, boost::no_property,
                                                 boost::no_property, int, int>;

/// The links that are left once the trees are peeled off. A node needs no list of its links for that: of one
/// that is on a single link, the sum of the positions of its links is the link.
std::vector<int> without_trees(int nodes, const std::vector<Link>& links) {
    std::vector<int> degree(at(nodes), 0);
    std::vector<unsigned> sum(at(nodes), 0);  // wraps round, which differences undo
    std::vector<char> left(links.size(), 1);
    for (std::size_t i = 0; i < links.size(); ++i) {
        left[i] = links[i][0] != links[i][1];
        if (!left[i]) continue;
        for (const int node : links[i]) {
            ++degree[at(node)];
            sum[at(node)] += static_cast<unsigned>(i);
        }
    }
    for (int start = 0; start < nodes; ++start)
        for (int leaf = start; degree[at(leaf)] == 1;) {
            const unsigned link = sum[at(leaf)];
            left[link] = 0;
            degree[at(leaf)] = 0;
            leaf = links[link][0] == leaf ? links[link][1] : links[link][0];
            --degree[at(leaf)];
            sum[at(leaf)] -= link;
        }
    std::vector<int> core;
    for (std::size_t i = 0; i < links.size(); ++i)
        if (left[i]) core.push_back(static_cast<int>(i));
    return core;
}

/// The elements (positions in `links`) of each looped part, in file order.
std::vector<std::vector<int>> looped_parts(int nodes, const std::vector<Link>& links) {
    if (links.size() < 2) return {};
    const std::vector<int> core = without_trees(nodes, links);
    const auto elements = static_cast<int>(core.size());
    std::vector<int> vertex(at(nodes), none);  // of each node that is left, behind those of the elements
    int vertices = elements;
    std::vector<std::pair<int, int>> ends;
    ends.reserve(core.size() * 4);
    for (int element = 0; element < elements; ++element)
        for (const int node : links[at(core[at(element)])]) {
            if (vertex[at(node)] == none) vertex[at(node)] = vertices++;
            ends.emplace_back(element, vertex[at(node)]);
            ends.emplace_back(vertex[at(node)], element);
        }
    const Graph graph(boost::edges_are_unsorted_multi_pass, ends.begin(), ends.end(), vertices);

    // Each undirected edge is two arcs here, of which the search numbers one.
    std::vector<int> component(static_cast<std::size_t>(num_edges(graph)), none);
    const auto arcs = boost::get(boost::edge_index, graph);
    const std::size_t components =
        boost::biconnected_components(graph, boost::make_iterator_property_map(component.begin(), arcs));

    std::vector<std::vector<int>> parts(components);
    for (auto [edge, end] = edges(graph); edge != end; ++edge) {
        const int number = component[at(static_cast<int>(get(arcs, *edge)))];
        if (number == none) continue;
        const int element =
            std::min(static_cast<int>(source(*edge, graph)), static_cast<int>(target(*edge, graph)));
        parts[at(number)].push_back(core[at(element)]);
    }
    for (std::vector<int>& part : parts) {
        std::sort(part.begin(), part.end());
        part.erase(std::unique(part.begin(), part.end()), part.end());
    }
    std::erase_if(parts, [](const std::vector<int>& part) { return part.size() < 2; });
    std::sort(parts.begin(), parts.end());
    return parts;
}

bool all_zero(const std::vector<ChartRow>& rows) {
    return std::all_of(rows.begin(), rows.end(), [](const ChartRow& row) { return row.value.value == 0; });
}

bool lossless(const Loss& loss) {
    switch (loss.kind) {
        case LossKind::lossless:
            return true;
        case LossKind::k:
            return loss.coefficient.value == 0;
        case LossKind::chart:
            return all_zero(loss.chart);
        case LossKind::cv:
        case LossKind::kv:
            break;
    }
    return false;
}

/// An element that loses nothing: what it joins, and how messages call it.
struct Free {
    Link nodes;
    std::string name;
    Place place;
    bool one_way = false;
};

std::vector<Free> elements_without_loss(const System& system, const Nodes& nodes) {
    std::vector<Free> free;
    for (std::size_t p = 0; p < system.pipes.size(); ++p) {
        const Pipe& pipe = system.pipes[p];
        if (!pipe.closed && pipe.length.value == 0 && pipe.k.value == 0)
            free.push_back({nodes.pipe[p], "pipe " + quoted(system.pipe_id(pipe)), pipe.place});
    }
    for (std::size_t d = 0; d < system.devices.size(); ++d) {
        const Device& device = system.devices[d];
        if (!device.closed && device.type != DeviceType::pump && lossless(device.loss))
            free.push_back({nodes.device[d], "device " + quoted(system.point_id(device.point)),
                            system.points[at(device.point)].place, one_way(device)});
    }
    for (std::size_t v = 0; v < system.valves.size(); ++v) {
        const Valve& valve = system.valves[v];
        if (valve.head == none && lossless(valve.loss))
            free.push_back({nodes.valve[v], "valve " + quoted(system.point_id(valve.point)), valve.place,
                            valve.set.has_value()});
    }
    return free;
}

/// A pump whose curve ends level lifts any flow as high as its last row.
bool lifts_any_flow(const Device& pump) {
    const std::vector<ChartRow>& rise = pump.rise;
    if (pump.closed || rise.empty() || rise.back().value.value < 0) return false;
    return rise.size() == 1 || rise[rise.size() - 2].value.value == rise.back().value.value;
}

std::vector<Free> pumps_of_any_flow(const System& system, const Nodes& nodes) {
    std::vector<Free> pumps;
    for (std::size_t d = 0; d < system.devices.size(); ++d) {
        const Device& device = system.devices[d];
        if (device.type == DeviceType::pump && lifts_any_flow(device))
            pumps.push_back({nodes.device[d], "pump " + quoted(system.point_id(device.point)),
                             system.points[at(device.point)].place, true});
    }
    return pumps;
}

/// True where water can run from a pump's outlet back to its inlet through elements that hold back no flow.
bool drives_itself(const Free& pump, const std::vector<std::vector<int>>& leads_to) {
    std::vector<char> seen(leads_to.size(), 0);
    std::vector<int> visit{pump.nodes[1]};
    while (!visit.empty()) {
        const int node = visit.back();
        visit.pop_back();
        if (node == pump.nodes[0]) return true;
        if (std::exchange(seen[at(node)], 1)) continue;
        visit.insert(visit.end(), leads_to[at(node)].begin(), leads_to[at(node)].end());
    }
    return false;
}

}  // namespace

void find_loops(const System& system, const Nodes& nodes, Layout& layout) {
    layout.pipe_in_loop.assign(system.pipes.size(), 0);
    std::vector<Link> links = nodes.pipe;
    links.reserve(links.size() + nodes.device.size() + nodes.valve.size());
    links.insert(links.end(), nodes.device.begin(), nodes.device.end());
    for (const Link& valve : nodes.valve)
        if (valve[1] != none) links.push_back(valve);
    for (const std::vector<int>& part : looped_parts(nodes.count, links)) {
        std::vector<Index> pipes;
        for (const int element : part)
            if (at(element) < system.pipes.size()) pipes.push_back(element);
        for (const Index pipe : pipes) layout.pipe_in_loop[at(pipe)] = 1;
        if (pipes.size() > 1) layout.loops.push_back(pipes);
    }
}

void find_lossless_rings(const System& system, const Nodes& nodes, Layout& layout) {
    std::vector<Free> free = elements_without_loss(system, nodes);
    // A supply without flow test holds its pressure at any flow: two of them are joined by the ground node.
    const int ground = nodes.count;
    const std::size_t elements = free.size();
    for (const Supply& supply : system.supplies)
        if (supply.tests.empty())
            free.push_back({{supply.point, ground},
                            "supply " + quoted(system.point_id(supply.point)),
                            system.points[at(supply.point)].place});
    std::vector<Link> links;
    links.reserve(free.size());
    for (const Free& element : free) links.push_back(element.nodes);
    for (const std::vector<int>& ring : looped_parts(nodes.count + 1, links)) {
        const bool supplies = at(ring.back()) >= elements;
        std::string names;
        constexpr std::size_t most = 12;
        for (std::size_t i = 0; i < std::min(ring.size(), most); ++i)
            names += (i == 0 ? "" : i + 1 == ring.size() ? " and " : ", ") + free[at(ring[i])].name;
        if (ring.size() > most) names += " and " + std::to_string(ring.size() - most) + " more";
        Issue issue{free[at(ring.front())].place, names, "", ""};
        if (supplies) {
            issue.text = "supplies without flow test are joined by elements that lose nothing (" + names +
                         "): how much each gives cannot be told";
            issue.mend = "give the supplies a flow test, or the elements between them a loss or a length";
        } else {
            issue.text = "a ring of elements that lose nothing (" + names +
                         "): how the water parts in it cannot be told";
            issue.mend = "give one element of the ring a loss or a length";
        }
        layout.errors.push_back(issue);
    }
}

void find_endless_pumps(const System& system, const Nodes& nodes, Layout& layout) {
    const std::vector<Free> pumps = pumps_of_any_flow(system, nodes);
    if (pumps.empty()) return;
    // A supply without flow test takes and gives any flow: all of them are one node, the ground.
    const int ground = nodes.count;
    std::vector<std::vector<int>> leads_to(at(nodes.count) + 1);
    const auto add = [&](const Free& element) {
        leads_to[at(element.nodes[0])].push_back(element.nodes[1]);
        if (!element.one_way) leads_to[at(element.nodes[1])].push_back(element.nodes[0]);
    };
    for (const Free& element : elements_without_loss(system, nodes)) add(element);
    for (const Free& pump : pumps) add(pump);
    const auto without_supplies = leads_to;
    for (const Supply& supply : system.supplies)
        if (supply.tests.empty()) add({{supply.point, ground}, "", {}});
    for (const Free& pump : pumps) {
        if (!drives_itself(pump, leads_to)) continue;
        if (drives_itself(pump, without_supplies)) {
            layout.errors.push_back(
                {pump.place, pump.name,
                 pump.name + " drives a ring in which nothing is lost, and its curve ends level: "
                             "the water in it would run faster without end",
                 "give one element of the ring a loss or a length, or the pump a row at which its "
                 "rise has fallen"});
        } else {
            layout.errors.push_back(
                {pump.place, pump.name,
                 pump.name +
                     " lifts water from one supply without flow test into another, nothing is lost on the "
                     "way, and its curve ends level: the water would run faster without end",
                 "give the supplies a flow test, an element between them a loss or a length, or the pump a "
                 "row at "
                 "which its rise has fallen"});
        }
    }
}

}  // namespace evenhead::model::parts
