// A part of a system: its mainline and some of its zones, as a system of its own. What asks the same question
// of one zone a thousand times need not carry the other zones along.
#pragma once

#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"

namespace evenhead::model {

/// Points, pipes and heads are counted anew; supplies, devices, valves, nozzles and runs keep their
/// positions. A valve whose zone is left out keeps its inlet and has nothing behind it.
struct Part {
    System system;
    std::vector<Index> point, pipe, head;           ///< of the whole, by position in the part
    std::vector<Index> point_of, pipe_of, head_of;  ///< of the part, by position in the whole; none: left out
};

/// The mainline, and the zones of `valves`. Readings, things seen, laterals, areas and conditions are left
/// out; the part has the elevations of `layout` given at its points, so that none is assumed anew.
Part part_of(const System& system, const Layout& layout, const std::vector<Index>& valves);

}  // namespace evenhead::model
