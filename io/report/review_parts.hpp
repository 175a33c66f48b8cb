// Pieces of the report's section on the review.
#pragma once

#include "io/report/html.hpp"
#include "io/write/review.hpp"

namespace evenhead::io {

/// Tables of what the pressure of each critical head hangs on: the ten inputs that matter, least to spare
/// first. Nothing where nobody asked.
void write_hangs_on(Html& html, const Speaker& speaker, const ReviewSubject& subject);

/// How likely each head gets too little: a drawing of the bands, the table, and what was taken for the
/// spreads. Nothing where nobody asked.
void write_chances(Html& html, const Speaker& speaker, const ReviewSubject& subject);

/// The bands of these heads as an <svg> of the class `grade SIZE`, `width` px wide (at least 300): a bar from
/// the low to the high end, hollow where it lies below the head's lower limit.
void draw_bands(Html& html, const Speaker& speaker, const std::vector<const solver::HeadChance*>& heads,
                double width, std::string_view size);

}  // namespace evenhead::io
