// What the plan says of each thing in words: the text that a reader gets by resting on it.
#pragma once

#include <string>
#include <vector>

#include "io/plan/plan.hpp"

namespace evenhead::io {

/// The run that is drawn, in which things are as `marks` says.
const RunMarks& drawn_marks(const PlanSubject& subject, const PlanOptions& options);

std::string head_text(const PlanSubject& subject, const RunMarks& marks, Index head);
std::string pipe_text(const PlanSubject& subject, Index pipe);
std::string valve_text(const PlanSubject& subject, Index valve);
std::string device_text(const PlanSubject& subject, Index device);
std::string supply_text(const PlanSubject& subject, Index supply);
std::string point_text(const PlanSubject& subject, Index point);

/// "Corner garden", or "Untitled system".
std::string plan_title(const PlanSubject& subject);
/// "All 3 runs: outside limits", "Run lawn: within limits".
std::string plan_verdict(const PlanSubject& subject, const PlanOptions& options);
/// "Critical head L4 in run lawn: ...".
std::string plan_critical(const PlanSubject& subject, const PlanOptions& options);
/// How large and how true: "Schematic, not to scale." and what was placed by pipe length.
std::vector<std::string> plan_notes(const PlanSubject& subject, bool to_scale,
                                    const std::vector<Index>& along_pipe);
/// What the drawing is not.
std::string plan_caution();

}  // namespace evenhead::io
