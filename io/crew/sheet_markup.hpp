// A sheet as markup: for the page of the sheets and for the report.
#pragma once

#include <string>
#include <string_view>

#include "io/crew/sheets.hpp"
#include "io/report/html.hpp"

namespace evenhead::io {

/// What a printed sheet says of itself: title of the case, its job and date where it has them.
std::string sheet_subject(const model::System& system, const std::string& case_path);

/// `<section class="crew" id="PREFIXname">` with its heading of this level (2 or 3). `title` stands beneath
/// it on paper.
void write_sheet_markup(Html& html, const CrewSheet& sheet, std::string_view prefix, int level,
                        const std::string& title);

}  // namespace evenhead::io
