// A case with its readings weighed, for the verbs that say what they tell.
#pragma once

#include <functional>
#include <memory>
#include <optional>

#include "cli/verb.hpp"
#include "solver/diagnosis/calibration.hpp"
#include "solver/diagnosis/diagnosis.hpp"

namespace evenhead::cli {

/// The case with every "?" that readings may tell of filled by what is usual; what else is not known is
/// refused (CaseRefused).
solver::Filled filled_or_refuse(const io::CaseReading& reading, const std::string& path);

struct DiagnosisQuestions {
    int threads = 0;
    model::Index complaint = model::none;        ///< run complained of; none: the first that was read
    const model::FaultPriors* priors = nullptr;  ///< null: the catalogue's
    bool pairs = true, quiet = false;
    /// Asked once the readings are fitted, before they are weighed; may be empty, may throw.
    std::function<void(const solver::Calibration&)> fitted;
};

/// Stays where it is: the diagnosis knows the system that it is of by its address.
struct Diagnosed {
    Diagnosed() = default;
    Diagnosed(const Diagnosed&) = delete;
    Diagnosed& operator=(const Diagnosed&) = delete;

    solver::Calibration calibration;         ///< as drawn: the system that was diagnosed
    std::optional<solver::Diagnosis> found;  ///< always there; of `calibration.system`
    solver::Calibration explained;  ///< what the readings say of the case if the leading explanation is true
};
/// Fits what the case leaves open, weighs the readings, and fits again under what leads. Throws
/// std::invalid_argument where a run that was read has no solution.
std::unique_ptr<Diagnosed> weigh(solver::Filled filled, const DiagnosisQuestions& questions);

}  // namespace evenhead::cli
