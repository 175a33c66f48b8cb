// How fast water may be in a pipe.
#pragma once

#include "solver/rules/rules.hpp"

namespace evenhead::solver {

/// The limit of the velocity rule in a pipe of this material, m/s. Says nothing of a rule that is off.
inline double most_velocity(const RuleLimit& limit, model::Material material) {
    return limit.differs_by_material ? limit.by_material[static_cast<std::size_t>(material)] : limit.value;
}

}  // namespace evenhead::solver
