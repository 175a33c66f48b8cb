// A case with the spreads that are usual put where it gives none.
#pragma once

#include "model/spreads.hpp"
#include "model/system.hpp"

namespace evenhead::solver {

/// The same system; a number that the case gives with a spread keeps it, and open water stays at its surface.
/// Elevations get one where the case gives them.
model::System with_spreads(model::System system, const model::Spreads& spreads);

}  // namespace evenhead::solver
