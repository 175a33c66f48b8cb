// Of many sets those that no other holds.
#pragma once

#include <vector>

#include "solver/together/together.hpp"

namespace evenhead::solver {

/// By set: 1 where no larger set of the list holds all of it. The sets rise in size.
std::vector<char> maximal_sets(const std::vector<ValveSet>& sets);

}  // namespace evenhead::solver
