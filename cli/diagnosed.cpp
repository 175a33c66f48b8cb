#include "cli/diagnosed.hpp"

#include <stdexcept>

#include "cli/progress.hpp"
#include "io/write/diagnosis.hpp"
#include "io/write/diagnosis_tables.hpp"
#include "solver/network/network.hpp"

namespace evenhead::cli {
namespace {

solver::Calibration under_explanation(solver::Filled filled, const solver::Calibration& drawn,
                                      const solver::Diagnosis& found, const DiagnosisQuestions& questions) {
    const solver::Hypothesis* leading = io::leading_explanation(found);
    if (drawn.empty() || found.survey.readings == 0 || leading == nullptr || leading->faults.empty() ||
        io::leads_unexplained(found) || !solver::can_calibrate(*leading))
        return drawn;
    solver::CalibrationOptions options;
    options.threads = questions.threads;
    options.explanation = leading;
    options.survey = &found.survey;
    options.priors = questions.priors;
    try {
        return solver::calibrate(std::move(filled), options);
    } catch (const std::invalid_argument&) {  // with the fault built in there is no solution to fit by
        return drawn;
    }
}

}  // namespace

solver::Filled filled_or_refuse(const io::CaseReading& reading, const std::string& path) {
    solver::Filled filled = solver::fill_open_values(*reading.system, reading.layout);
    const std::vector<model::Issue> unknown = solver::unknown_values(filled.system);
    if (!unknown.empty()) refuse(unknown, reading.files, path);
    return filled;
}

std::unique_ptr<Diagnosed> weigh(solver::Filled filled, const DiagnosisQuestions& questions) {
    ProgressLine progress(!questions.quiet, 0, "places");
    auto made = std::make_unique<Diagnosed>();
    Diagnosed& answer = *made;
    answer.calibration =
        solver::calibrate(filled, {questions.threads, questions.complaint, nullptr, nullptr, nullptr});
    if (questions.fitted) questions.fitted(answer.calibration);
    solver::DiagnosisOptions options;
    options.threads = questions.threads;
    options.priors = questions.priors;
    options.pairs = questions.pairs;
    options.complaint = questions.complaint;
    options.progress = [&](std::size_t done, std::size_t total) {
        progress.show(done, total);
        return true;
    };
    options.before_pairs = [&] { progress.say("two faults at once"); };
    answer.found = solver::diagnose(answer.calibration.system, answer.calibration.layout, options);
    answer.explained = under_explanation(std::move(filled), answer.calibration, *answer.found, questions);
    return made;
}

}  // namespace evenhead::cli
