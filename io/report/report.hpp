// `evenhead report`: one page that holds everything, to print or to open in any browser; nothing is fetched.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "io/write/acceptance.hpp"
#include "io/write/check.hpp"
#include "io/write/comparison.hpp"
#include "io/write/review.hpp"
#include "solver/coverage/coverage.hpp"
#include "solver/diagnosis/calibration.hpp"
#include "solver/diagnosis/diagnosis.hpp"

namespace evenhead::io {

struct CrewSheet;
struct TimetableSubject;

/// What the readings of the case say; neither where there are none.
struct ReportReadings {
    const solver::Diagnosis* diagnosis = nullptr;  ///< must outlive the writer
    std::string not_weighed;                       ///< a sentence: why there is no diagnosis
    /// What they say of values that the case leaves open; null where it leaves none.
    const solver::Calibration* calibration = nullptr;
    bool filled = false;  ///< the system of the page has values that were fitted in place of "?"
};

/// Other questions that were asked of the case; null: nobody asked. They must outlive the writer.
struct ReportAnswers {
    const ReviewSubject* review = nullptr;
    const AcceptanceSubject* acceptance = nullptr;
    const ComparisonSubject* comparison = nullptr;
    const std::vector<solver::ZoneCoverage>* coverage = nullptr;  ///< of the zones that are shown
    const TimetableSubject* timetable = nullptr;
    const std::vector<CrewSheet>* sheets = nullptr;
    std::string not_judged;  ///< a sentence: why there is no acceptance, though somebody asked
};

/// Takes the runs one by one; writes the page at finish. Throws WriteError.
std::unique_ptr<CheckWriter> report_page(Output& output, const CheckSubject& subject,
                                         const ReportReadings& readings = {},
                                         const ReportAnswers& answers = {});

}  // namespace evenhead::io
