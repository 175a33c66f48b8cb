// A fault and the place it could be at, in a part of a system (positions are those of the part).
#pragma once

#include <vector>

#include "model/faults.hpp"
#include "model/graph.hpp"
#include "solver/balance/result.hpp"

namespace evenhead::solver {

using model::FaultKind;

/// Where a fault is. `at` names it; of several pipes or heads it is the first, `rows` has them all.
struct Site {
    FaultKind kind = FaultKind::blockage;
    ElementRef at;  ///< {run, none}: the gauge
    std::vector<Index>
        rows;  ///< narrow-run: pipes; nozzles, extra heads, higher ground: heads; points of a leak: one
    Index valve = model::none;  ///< the zone it is in; none: on the mainline, or nowhere
    double weight = 0;          ///< prior, before any reading; all answers together are 1
};

/// Every kind of fault at every place of the part, each with its share of its kind's weight. `zones`: valves
/// whose zones are there; `open`: valves that were open in the run complained of.
std::vector<Site> fault_sites(const model::System& part, const model::Layout& layout,
                              const model::FaultPriors& priors, const std::vector<Index>& zones,
                              const std::vector<Index>& open);

}  // namespace evenhead::solver
