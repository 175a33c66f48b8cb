// `evenhead report`: one page that holds everything, to print or to open in any browser; nothing is fetched.
#pragma once

#include <memory>
#include <vector>

#include "io/write/check.hpp"
#include "solver/coverage/coverage.hpp"
#include "solver/diagnosis/diagnosis.hpp"
#include "solver/review/review.hpp"

namespace evenhead::io {

struct TimetableSubject;

/// What the readings of the case say; neither where there are none.
struct ReportReadings {
    const solver::Diagnosis* diagnosis = nullptr;  ///< must outlive the writer
    std::string not_weighed;                       ///< a sentence: why there is no diagnosis
};

/// Takes the runs one by one; writes the page at finish. `review`, `coverage` (by valve) and `timetable`: may
/// be null, must outlive the writer. Throws WriteError.
std::unique_ptr<CheckWriter> report_page(Output& output, const CheckSubject& subject,
                                         const ReportReadings& readings = {},
                                         const solver::Review* review = nullptr,
                                         const std::vector<solver::ZoneCoverage>* coverage = nullptr,
                                         const TimetableSubject* timetable = nullptr);

}  // namespace evenhead::io
