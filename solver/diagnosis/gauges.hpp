// Where gauges stood, and where they could be put.
#pragma once

#include <vector>

#include "solver/diagnosis/survey.hpp"

namespace evenhead::solver {

/// The survey that the readings of a case make: the situations they were taken in, the one of run `complaint`
/// first, and every place where the next could be taken: each head of the zones read, both sides of their
/// valves and of what stands on the main, the meter, the source; with everything shut, what stands on the
/// main; and first and last head, valve and meter with a neighbouring run on. `unused`: readings of water
/// that is shut off. Throws std::invalid_argument where the case has no readings, or no run.
Survey plan_survey(const model::System& system, const model::Layout& layout, model::Index complaint,
                   std::vector<model::Index>& unused);

}  // namespace evenhead::solver
