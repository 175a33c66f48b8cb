// `evenhead report`: one page that holds everything, to print or to open in any browser; nothing is fetched.
#pragma once

#include <memory>

#include "io/write/check.hpp"

namespace evenhead::io {

/// Takes the runs one by one; writes the page at finish. Throws WriteError.
std::unique_ptr<CheckWriter> report_page(Output& output, const CheckSubject& subject);

}  // namespace evenhead::io
