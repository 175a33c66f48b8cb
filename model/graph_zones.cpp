// Zones and mainline: breadth-first searches from the supplies and from each valve's outlet that pass no
// valve.
//
// Both are a matter of how the system is built, so that a closed pipe or gate does not part them; a one-way
// element is passed in its direction only. A node that the supplies reach is black before the zones are
// sought, so that no zone enters the mainline; what one zone blackened is made white again for the next.
#include <algorithm>
#include <utility>

#include "model/graph_parts.hpp"

namespace evenhead::model::parts {
namespace {

/// A search that begins at some nodes, passes the elements that `passes` lets it, and calls `step(from,
/// passage)` for every node it finds on the passage. Adds what it finds to `found`, which are also its
/// waiting nodes; nodes that are `black` are found already.
template <class Passes, class Step>
void search(const Passages& passages, const std::vector<int>& starts, std::vector<char>& black,
            std::vector<int>& found, const Passes& passes, const Step& step) {
    const std::size_t before = found.size();
    for (const int start : starts)
        if (!std::exchange(black[at(start)], 1)) found.push_back(start);
    for (std::size_t next = before; next < found.size(); ++next) {
        const int node = found[next];
        for (const Passage& passage : passages[at(node)]) {
            if (black[at(passage.node)] || !passes(passage.element)) continue;
            black[at(passage.node)] = 1;
            step(node, passage);
            found.push_back(passage.node);
        }
    }
}

/// Larger in bore; the same nominal size in another kind is no growth.
bool larger(const Pipe& pipe, const Pipe& before) {
    if (pipe.size.shares(before.size)) return false;
    const PipeSize &size = *pipe.size, &feeder = *before.size;
    const bool same_nominal = !size.nominal.empty() && size.nominal == feeder.nominal;
    return !same_nominal && size.bore.value > feeder.bore.value * (1 + 1e-9);
}

/// Searches that pass no valve; they note the pipe by which they came to each node, and where a pipe is
/// larger than the one before it.
class ZoneSearch {
  public:
    ZoneSearch(const System& system, const Nodes& nodes, const Passages& passages)
        : system_(system),
          passages_(passages),
          pipes_(static_cast<int>(nodes.pipe.size())),
          valves_(pipes_ + static_cast<int>(nodes.device.size())),
          black_(at(nodes.count), 0),
          arrival_(at(nodes.count), none) {}

    std::vector<int> found;
    std::vector<Growth> growths;

    void from(const std::vector<int>& starts) {
        search(
            passages_, starts, black_, found, [&](int element) { return element < valves_; },
            [&](int node, const Passage& passage) {
                const Index before = arrival_[at(node)];
                const bool pipe = passage.element < pipes_;
                arrival_[at(passage.node)] =
                    pipe ? passage.element : before;  // a device hands on the pipe before it
                if (pipe && before != none &&
                    larger(system_.pipes[at(passage.element)], system_.pipes[at(before)]))
                    growths.push_back({passage.element, before});
            });
    }
    /// The zone behind a valve's outlet, in `found`; the next search may find the same nodes again.
    void zone(int outlet) {
        found.clear();
        arrival_[at(outlet)] = none;
        from({outlet});
        for (const int node : found) black_[at(node)] = 0;
    }

  private:
    const System& system_;
    const Passages& passages_;
    int pipes_, valves_;  ///< the first element behind the pipes, and the first valve
    std::vector<char> black_;
    std::vector<Index> arrival_;  ///< by node
};

std::vector<int> supply_nodes(const System& system) {
    std::vector<int> from;
    for (const Supply& supply : system.supplies) from.push_back(supply.point);
    return from;
}

/// What the searches from the valves gather, before it is put in order.
struct Zones {
    using Pairs = std::vector<std::array<int, 2>>;
    Pairs of_node, of_point;  ///< each with a valve
    std::vector<Index> last;  ///< by point: the valve that came last
};

Lists in_order(std::size_t rows, const Zones::Pairs& pairs) {
    return {rows, [&](const auto& put) {
                for (const auto& [row, valve] : pairs) put(row, valve);
            }};
}

void put_zone(const System& system, const Nodes& nodes, Index valve, const std::vector<int>& found,
              Zones& zones, Layout& layout) {
    std::vector<Index>& heads = layout.zone_heads[at(valve)];
    for (const int node : found) {
        zones.of_node.push_back({node, valve});
        const Index index = point_of(nodes, system.points.size(), node);
        const Point& point = system.points[at(index)];
        // Of another valve in this zone only the inlet is reached, and a valve's zones are those of its
        // outlet.
        if (point.kind == PointKind::valve && node == index) continue;
        if (std::exchange(zones.last[at(index)], valve) != valve) zones.of_point.push_back({index, valve});
        if (point.kind == PointKind::head && system.heads[at(point.row)].valve == none)
            heads.push_back(point.row);
    }
    std::sort(heads.begin(), heads.end());
    heads.erase(std::unique(heads.begin(), heads.end()), heads.end());
    heads.shrink_to_fit();
}

void refuse_valves_behind_valves(const System& system, const Nodes& nodes, const Lists& zone_of_node,
                                 Layout& layout) {
    for (std::size_t v = 0; v < system.valves.size(); ++v) {
        const std::span<const Index> zones = zone_of_node[at(nodes.valve[v][0])];
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

std::vector<Growth> find_zones(const System& system, const Nodes& nodes, const Passages& passages,
                               Layout& layout) {
    const std::size_t points = system.points.size();
    layout.point_on_mainline.assign(points, 0);
    layout.pipe_on_mainline.assign(system.pipes.size(), 0);
    layout.zone_heads.resize(system.valves.size());

    ZoneSearch search(system, nodes, passages);
    search.from(supply_nodes(system));
    search.growths.clear();  // a mainline may grow: it is fed from several sides
    std::vector<char> on_mainline(at(nodes.count), 0);
    for (const int node : search.found) {
        on_mainline[at(node)] = 1;
        const Index point = point_of(nodes, points, node);
        const bool outlet_of_valve = node != point && system.points[at(point)].kind == PointKind::valve;
        if (!outlet_of_valve) layout.point_on_mainline[at(point)] = 1;
    }

    Zones zones;
    zones.of_node.reserve(at(nodes.count));
    zones.of_point.reserve(points);
    zones.last.assign(points, none);
    for (std::size_t v = 0; v < system.valves.size(); ++v) {
        const Valve& valve = system.valves[v];
        const auto index = static_cast<Index>(v);
        if (valve.head != none) {
            layout.zone_heads[v] = {valve.head};
            zones.of_point.push_back({valve.point, index});
        } else if (!on_mainline[at(nodes.valve[v][1])]) {
            search.zone(nodes.valve[v][1]);
            put_zone(system, nodes, index, search.found, zones, layout);
        }
    }
    const Lists zone_of_node = in_order(at(nodes.count), zones.of_node);
    layout.zone_of_point = in_order(points, zones.of_point);
    layout.zone_of_pipe.reserve(system.pipes.size());
    for (std::size_t p = 0; p < system.pipes.size(); ++p) {
        // Both ends are reached together: a pipe has two directions.
        layout.pipe_on_mainline[p] = on_mainline[at(nodes.pipe[p][0])];
        layout.zone_of_pipe.add(zone_of_node[at(nodes.pipe[p][0])]);
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
    return std::move(search.growths);
}

void find_reach(const System& system, const Nodes& nodes, const Passages& passages, Layout& layout) {
    const std::size_t pipes = system.pipes.size(), valves = pipes + system.devices.size();
    const auto open = [&](int element) {
        const std::size_t e = at(element);
        if (e < pipes) return !system.pipes[e].closed;
        return e >= valves || !system.devices[e - pipes].closed;
    };
    std::vector<char> black(at(nodes.count), 0);
    std::vector<int> found;
    search(passages, supply_nodes(system), black, found, open, [](int, const Passage&) {});

    layout.point_reached.assign(system.points.size(), 0);
    for (const int node : found) layout.point_reached[at(point_of(nodes, system.points.size(), node))] = 1;
    for (std::size_t h = 0; h < system.heads.size(); ++h)
        if (!layout.point_reached[at(system.heads[h].point)])
            layout.heads_unfed.push_back(static_cast<Index>(h));
}

}  // namespace evenhead::model::parts
