// Wire to the valves: what is left of the controller's voltage where a solenoid pulls in, and which wire
// would do.
#pragma once

#include <string>
#include <vector>

#include "model/crew_table.hpp"
#include "model/takeoff/takeoff.hpp"

namespace evenhead::solver {

using model::Index;

/// The wires of one valve, in the run that leaves it the least.
struct ValveWire {
    Index point = model::none;  ///< of the valve or master valve
    bool reached = false;       ///< else no way leads there, and nothing below is known
    Index run = model::none;    ///< none: it opens alone
    double length = 0;          ///< m of its own wire, with slack
    Index controller = 0;       ///< of Takeoff::controllers
    double own_drop = 0;        ///< V in its own wire
    double common_drop = 0;     ///< V in the common wire, with what the other valves of the run draw
    double volts = 0;           ///< V at the solenoid while it pulls in
    bool enough = false;
    std::string needs;  ///< the thinnest wire, of its own and common, that leaves enough; empty: none does
};

struct WireSheet {
    std::string gauge;              ///< of every wire
    double resistance = 0;          ///< ohm per m of it in the ground
    double longest = 0;             ///< m: the longest way that it serves, for a valve that opens alone
    std::vector<ValveWire> valves;  ///< in the order of the take-off
    std::string needs;              ///< the thinnest that does for all; empty: none does
    double common = 0;              ///< m of common wire
};

/// Drops for this wire (a name of the table; empty: that of the take-off). Throws std::invalid_argument where
/// the table does not have it.
WireSheet wire_drops(const model::System& system, const model::Takeoff& takeoff,
                     const model::CrewTable& table, const std::string& gauge = {});

}  // namespace evenhead::solver
