// What is surveyed: the part of the system that the readings are about, the situations they were taken in,
// what was read, and what could be read next. Positions are those of the part.
#pragma once

#include <vector>

#include "model/faults.hpp"
#include "model/graph.hpp"
#include "model/part.hpp"
#include "solver/balance/result.hpp"

namespace evenhead::solver {

/// What ran while a gauge was read.
struct Situation {
    Index run = model::none;  ///< none: every valve shut, master valves too
    std::vector<Index> open;  ///< valves
};

/// A place where pressure or flow can be read in one situation.
struct Gauge {
    std::size_t situation = 0;
    Index point = model::none;
    bool flow = false;                       ///< else pressure
    model::Gauge way = model::Gauge::pitot;  ///< of a pressure at a head
    model::Side side = model::Side::outlet;  ///< of a pressure at a device or valve
    double deviation = 0;                    ///< standard deviation, Pa or m3/s
    double measured = 0;                     ///< of those that were read
};

struct Survey {
    const model::System* whole = nullptr;
    const model::Layout* whole_layout = nullptr;
    model::Part part;
    model::Layout layout;               ///< of the part
    std::vector<Situation> situations;  ///< the one complained of first
    std::vector<Gauge> gauges;          ///< what was read, then what could be
    std::size_t readings = 0;           ///< how many of them were read
    std::vector<Index> zones;           ///< valves whose zones the part holds ...
    std::vector<Index> read_zones;      ///< ... and those of runs that were read: where faults are looked for
};

/// The part of a system that holds the mainline and these zones. `gauges`: their points are positions of the
/// whole.
Survey make_survey(const model::System& whole, const model::Layout& layout, std::vector<Situation> situations,
                   std::vector<Gauge> gauges, std::size_t readings, std::vector<Index> zones);

/// The same survey with one more zone in its part.
Survey with_zone(const Survey& survey, Index valve);

/// What a gauge shows in a balanced situation; NaN where water is shut off and what is left cannot be known.
double shown(const model::System& system, const RunResult& result, const Gauge& gauge);

}  // namespace evenhead::solver
