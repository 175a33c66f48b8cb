// `evenhead report`: one page that holds everything, to print or to open in any browser; nothing is fetched.
#pragma once

#include <memory>

#include "io/write/check.hpp"
#include "solver/review/review.hpp"

namespace evenhead::io {

/// Takes the runs one by one; writes the page at finish. `review`: may be null, must outlive the writer.
/// Throws WriteError.
std::unique_ptr<CheckWriter> report_page(Output& output, const CheckSubject& subject,
                                         const solver::Review* review = nullptr);

}  // namespace evenhead::io
