// What gauges and the meter should show when the finished system is handed over, and what its flow sensor
// should take for wrong.
#pragma once

#include <string>
#include <vector>

#include "model/crew_table.hpp"
#include "model/graph.hpp"
#include "solver/balance/result.hpp"

namespace evenhead::solver {

/// A gauge and what it should show.
struct GaugePlace {
    enum class Where { supply, inlet, outlet, riser, nozzle };
    Index run = model::none;  ///< none: every valve shut
    Index point = model::none;
    Where where = Where::supply;
    Index valve = model::none;  ///< of a head: the valve of its zone; none: it stands before any
    /// Of a head, what it is among those of its zone: nearest to the valve, farthest, least above what it
    /// needs.
    bool first = false, last = false, critical = false;
    double pressure = 0;  ///< Pa
};

/// What passes a meter, a flow sensor, or (without either) the supplies.
struct MeteredFlow {
    Index run = model::none;     ///< none: every valve shut
    Index device = model::none;  ///< none: all supplies together
    double flow = 0;             ///< m3/s
    /// Most and least that one head of the run passes, as shares of the flow.
    double largest_head = 0, smallest_head = 0;
};

struct Commissioning {
    std::vector<GaugePlace> gauges;   ///< every valve shut first, then by run; along the water's way
    std::vector<MeteredFlow> flows;   ///< meters: every valve shut first, then by run
    std::vector<MeteredFlow> sensed;  ///< the same of flow sensors; without one of the meters
    std::vector<Index> failed;        ///< runs without a solution: nothing is foretold
    bool shut_failed = false;         ///< likewise with every valve shut
};

/// Balances every run and with every valve shut. `threads` 0: as many as the machine has.
Commissioning commissioning(const model::System& system, const model::Layout& layout, int threads = 0);

/// What a flow sensor should take for wrong.
struct FlowLimit {
    MeteredFlow expected;
    double low = 0, high = 0;  ///< m3/s
    /// One head that is shut takes the flow below `low`, whichever it is.
    bool tells_a_head = false;
};
struct FlowLimits {
    std::vector<FlowLimit> runs;  ///< where any water flows
    double standing = 0;          ///< m3/s that flows with every valve shut (heads before any valve)
    double leak = 0;              ///< m3/s above which there is a leak before the valves; NaN: no run flows
};
FlowLimits flow_limits(const Commissioning& of, const model::CrewTable& table);

}  // namespace evenhead::solver
