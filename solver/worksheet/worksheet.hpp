// The trade's pressure-loss worksheet: a line for each thing on the water's way from the supply to one
// nozzle.
#pragma once

#include <limits>
#include <string>
#include <vector>

#include "model/graph.hpp"
#include "solver/balance/result.hpp"

namespace evenhead::solver {

struct WorksheetLine {
    /// static supply meter backflow filter regulator check gate pump master other pipe fittings elevation
    /// valve swing-joint regulation
    std::string item;
    ElementRef subject;
    double flow = 0;      ///< m3/s
    double bore = 0;      ///< m; NaN: none
    double length = 0;    ///< m; NaN: none
    double velocity = 0;  ///< m/s; NaN: none
    double change = 0;    ///< Pa, negative where pressure is lost
    double pressure = 0;  ///< Pa, running, after this line
    /// m, where `pressure` is measured: a pipe's own line stands at its upstream end.
    double elevation = std::numeric_limits<double>::quiet_NaN();
    /// Pa, the change that the law of the line gives at `flow`: that of the balance, as closely as it closes.
    /// Elsewhere (a thing held shut, where nothing flows) no law decides the change.
    double by_law = std::numeric_limits<double>::quiet_NaN();
};

struct Worksheet {
    Index run = model::none;
    Index head = model::none;
    std::vector<WorksheetLine> lines;  ///< changes add up to `pressure`
    double pressure = 0;               ///< Pa at the nozzle
    double wanted = 0;                 ///< Pa; NaN: nothing wanted
    double margin = 0;                 ///< pressure - wanted
};

/// The way of the largest flow from a supply to `head` in a balanced run. Throws std::invalid_argument where
/// the run has failed or no water reaches the head.
Worksheet make_worksheet(const model::System& system, const model::Layout& layout, const RunResult& result,
                         Index head);

}  // namespace evenhead::solver
