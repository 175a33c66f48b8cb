// A sheet as markup: for the page of the sheets and for the report.
#pragma once

#include <string>
#include <string_view>

#include "io/crew/sheets.hpp"
#include "io/report/html.hpp"

namespace evenhead::io {

/// `<section class="crew" id="PREFIXname">` with its heading of this level (2 or 3). `title` of the case
/// stands beneath it on paper.
void write_sheet_markup(Html& html, const CrewSheet& sheet, std::string_view prefix, int level,
                        const std::string& title);

}  // namespace evenhead::io
