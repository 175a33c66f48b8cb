// How the runs do when the supply is weaker than the case says.
#pragma once

#include <optional>

#include "io/write/check.hpp"

namespace evenhead::cli {

/// Every run once more with less pressure at the supplies. Open water has none to lose: it stays as it is,
/// and where there is nothing else there is no answer.
std::optional<io::LowerSupply> at_lower_supply(const model::System& system, const model::Layout& layout,
                                               const solver::CheckOptions& options);

}  // namespace evenhead::cli
