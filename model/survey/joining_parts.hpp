// Steps of joining a survey. Not installed: use joining.hpp.
#pragma once

#include "model/survey/joining.hpp"

namespace evenhead::model::survey {

/// Turns lines so that water enters and leaves valves and directed devices their way, and notes where the
/// lines do not tell.
void direct_pipes(const Survey& survey, JoinedSurvey& joined);

}  // namespace evenhead::model::survey
