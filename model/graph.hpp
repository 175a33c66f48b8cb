// What the graph of a system tells: zones, mainline and laterals, loops, what no supply reaches, heads fed
// through two valves or none. Found from the pipes, never declared.
#pragma once

#include <vector>

#include "model/lists.hpp"
#include "model/system.hpp"

namespace evenhead::model {

/// The two sides of a device or valve: pipes that enter (inlet) and leave (outlet), by position.
struct Sides {
    std::vector<Index> inlet, outlet;  ///< pipes
};

/// Facts about a System that follow from how it is connected. Positions refer to the System's tables.
/// Mainline, zones and loops are a matter of how it is built: what is closed still joins them, and a one-way
/// element is passed in its direction only.
struct Layout {
    std::vector<double> elevation;  ///< by point, m: given, or ground, or of the nearest point that has one
    std::vector<Assumption> assumptions;  ///< elevations taken from a neighbour or as 0

    std::vector<Sides> device_sides;  ///< by device (a gate takes any two pipes: first is the inlet)
    std::vector<Sides> valve_sides;   ///< by valve; a head's own valve: all pipes of its point are inlet

    /// True where the pipe end touches the outlet side of a device or valve: [pipe][0 = from, 1 = to].
    std::vector<std::array<bool, 2>> end_on_outlet;

    std::vector<char>
        point_on_mainline;  ///< by point (of a valve's point: its inlet), 1 = reached past no valve
    std::vector<char> pipe_on_mainline;          ///< by pipe
    Lists zone_of_pipe;                          ///< by pipe: valves whose zone it is in (mainline: none)
    Lists zone_of_point;                         ///< by point (valve: its outlet): valves whose zone it is in
    std::vector<std::vector<Index>> zone_heads;  ///< by valve: the heads it waters
    std::vector<Index> heads_on_mainline;        ///< heads upstream of every valve: they water in every run
    std::vector<Index> heads_two_valves;         ///< heads in the zones of two or more valves
    std::vector<Index>
        heads_unfed;  ///< heads that no supply reaches with every valve open, closed things closed
    std::vector<char> point_reached;  ///< by point, 1 = some supply reaches it with every valve open

    std::vector<std::vector<Index>> loops;  ///< pipes of each looped part (biconnected, two or more pipes)
    std::vector<char> pipe_in_loop;         ///< by pipe
    std::vector<Index> dead_ends;           ///< plain points on one pipe only

    std::vector<Issue> errors;    ///< devices without inlet, valve behind a valve, lossless ring, ...
    std::vector<Issue> warnings;  ///< heads upstream of every valve, dead end, growing lateral, ...
};

/// Finds it all. Never throws on any System whose positions are valid.
Layout find_layout(const System& system);

}  // namespace evenhead::model
