// In which order a new system is flushed, before any nozzle goes in.
#pragma once

#include <vector>

#include "model/graph.hpp"

namespace evenhead::solver {

using model::Index;

/// An end to open.
struct FlushEnd {
    Index point = model::none;
    double distance =
        0;  ///< m along the pipes from the supply (mainline) or from the valve; infinity: no way
};

/// What is flushed at once.
struct FlushStage {
    Index valve = model::none;   ///< whose zone; none: the mainline
    double distance = 0;         ///< m along the pipes from the nearest supply to the valve
    std::vector<FlushEnd> ends;  ///< the nearest first, the farthest last
    /// The mainline has no end of its own: it is flushed out at the farthest valve.
    bool at_valve = false;
};

/// The mainline first, then the zones from the supply outwards. Ends: dead ends, quick couplers and heads.
std::vector<FlushStage> flushing_order(const model::System& system, const model::Layout& layout);

}  // namespace evenhead::solver
