// What a report says of the readings: the diagnosis in words, and its suspect places with their numbers on
// the plan.
#pragma once

#include <string>
#include <vector>

#include "io/plan/plan.hpp"
#include "io/write/diagnosis_tables.hpp"

namespace evenhead::io {

class DiagnosisFacts {
  public:
    /// `whole`: the system diagnosed; it and the diagnosis must outlive this.
    DiagnosisFacts(const model::System& whole, const solver::Diagnosis& found);
    DiagnosisFacts(const DiagnosisFacts&) = delete;
    DiagnosisFacts& operator=(const DiagnosisFacts&) = delete;

    const model::System& system;
    const solver::Diagnosis& diagnosis;
    const Speaker speaker;  ///< of the survey's part
    const FaultWords words;
    std::vector<SuspectPlace> places;   ///< numbered from 1 in this order
    std::vector<PlanSuspect> suspects;  ///< those of them that stand on the plan
};

}  // namespace evenhead::io
