// What `diagnose` writes: the answer and a work order in text, all of it in JSON, the explanations as one
// table in CSV.
#pragma once

#include <string>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "model/system.hpp"
#include "solver/diagnosis/calibration.hpp"
#include "solver/diagnosis/diagnosis.hpp"

namespace evenhead::io {

struct DiagnosisSubject {
    const model::System& system;  ///< the whole; its readings are those that were weighed
    const solver::Diagnosis& diagnosis;
    std::string case_path;                             ///< as the reader of the text would type it
    const solver::Calibration* calibration = nullptr;  ///< null: the case leaves nothing open
};

/// True where the leading answer is that all is as drawn.
bool leads_as_drawn(const solver::Diagnosis& diagnosis);
/// True where the leading answer is that nothing of the table of faults is it.
bool leads_unexplained(const solver::Diagnosis& diagnosis);

/// Throws WriteError, as all of these.
void write_diagnosis_text(Output& output, const DiagnosisSubject& subject, const Page& page);
void write_diagnosis_json(Output& output, const DiagnosisSubject& subject);
void write_diagnosis_csv(Output& output, const DiagnosisSubject& subject);

}  // namespace evenhead::io
