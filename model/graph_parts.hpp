// The steps of find_layout, and the nodes and links that they share. Not installed: use model/graph.hpp.
//
// A device or a valve parts its point in two: the inlet side keeps the point's position as its node, the
// outlet side is a node of its own. Every other point is one node. A pipe links two nodes both passages; a
// device links its inlet to its outlet; a valve does so only where it is open.
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "model/graph.hpp"
#include "model/position.hpp"

namespace evenhead::model::parts {

struct Nodes {
    int count = 0;
    std::vector<std::array<int, 2>> pipe;    ///< by pipe: nodes of `from` and `to`
    std::vector<std::array<int, 2>> device;  ///< by device: inlet and outlet node
    std::vector<std::array<int, 2>>
        valve;  ///< by valve: inlet and outlet node; the outlet of a head's own valve: none
    std::vector<int> outlet_point;  ///< by outlet node (from the number of points on): its point
};

/// The point that a node belongs to.
inline Index point_of(const Nodes& nodes, std::size_t points, int node) {
    return at(node) < points ? node : nodes.outlet_point[at(node) - points];
}

/// Where a node leads, and through which element: the pipes come first, then the devices, then the valves.
struct Passage {
    int node, element;
};
/// By node. A one-way element leads in its direction only.
using Passages = ListsOf<Passage>;
Passages find_passages(const System& system, const Nodes& nodes);

/// True where water passes only from inlet to outlet: a check of any kind, a pump, whatever holds a pressure.
inline bool one_way(const Device& device) {
    return device.one_way || device.set || device.type == DeviceType::pump;
}

/// An id as messages show it.
inline std::string quoted(const std::string& id) {
    return "\"" + id + "\"";
}

/// `"a", "b", "c" and 4 more`: ids of points, at most five of them.
std::string list_of(const System& system, const std::vector<Index>& points);

/// A pipe that is larger than the pipe of the same zone that feeds it.
struct Growth {
    Index pipe = none, feeder = none;
};

/// Which pipes enter and leave each device and valve; nodes; errors where a side is missing.
Nodes find_sides(const System& system, Layout& layout);
/// Elevations of all points, and what was assumed for them.
void find_elevations(const System& system, Layout& layout);
/// Mainline, zones, heads of each zone; errors where a valve lies behind a valve.
std::vector<Growth> find_zones(const System& system, const Nodes& nodes, const Passages& passages,
                               Layout& layout);
/// What some supply reaches with every valve open, closed things closed and one-way directions respected.
void find_reach(const System& system, const Nodes& nodes, const Passages& passages, Layout& layout);
/// Looped parts.
void find_loops(const System& system, const Nodes& nodes, Layout& layout);
/// Errors where elements that lose nothing form a ring or join supplies without flow test.
void find_lossless_rings(const System& system, const Nodes& nodes, Layout& layout);
/// Errors where a pump whose curve ends level drives a ring of elements that lose nothing.
void find_endless_pumps(const System& system, const Nodes& nodes, Layout& layout);
/// Dead ends; warnings about what is legal but suspicious.
void find_suspicious(const System& system, const std::vector<Growth>& growths, Layout& layout);

}  // namespace evenhead::model::parts
