// What was built against what was drawn: every reading beside what the case foretells there, and how far
// the two may lie apart before it is no chance.
#pragma once

#include <vector>

#include "model/graph.hpp"
#include "model/spreads.hpp"
#include "model/system.hpp"
#include "solver/diagnosis/survey.hpp"

namespace evenhead::solver {

/// One reading. Pa or m3/s.
struct AcceptedReading {
    Gauge gauge;                 ///< point: of the whole system; `measured` and the reading's own `deviation`
    Index run = model::none;     ///< none: every valve shut
    double predicted = 0;        ///< what the case foretells
    double difference = 0;       ///< measured less predicted
    double model_deviation = 0;  ///< standard deviation of `predicted`, from the spreads of its inputs
    double allowed = 0;          ///< two standard deviations of reading and model together
    bool accepted = false;       ///< |difference| <= allowed
};

struct Acceptance {
    std::vector<AcceptedReading> readings;  ///< in the order of the case
    /// Readings of the case that cannot be judged: of water that is shut off, or where the run does not
    /// reach.
    std::vector<Index> unused;
    /// Inputs in what was read: to which the case gives a spread, and that have one of the table.
    std::size_t given_spreads = 0, usual_spreads = 0;
    std::size_t rejected() const;
    bool accepted() const { return rejected() == 0; }
};

struct AcceptOptions {
    int threads = 0;                          ///< 0: as many as the machine has
    const model::Spreads* spreads = nullptr;  ///< of what the case gives without; null: that is exact
};

/// Judges every reading of the system. Throws std::invalid_argument where there is no reading, or where a run
/// that was read has no solution.
Acceptance accept_readings(const model::System& system, const model::Layout& layout,
                           const AcceptOptions& options = {});

}  // namespace evenhead::solver
