// The picture of one zone's water: filled contours with their values, heads, outline, the driest place.
#pragma once

#include "io/report/html.hpp"
#include "io/write/sentences.hpp"
#include "solver/coverage/coverage.hpp"

namespace evenhead::io {

/// Width of the picture, px: as wide as a phone shows without making letters smaller.
inline constexpr double coverage_width = 340;

/// Writes the SVG and its legend. `number` tells the picture from the others of the page.
void draw_coverage(Html& html, const Speaker& speaker, const solver::ZoneCoverage& zone, std::size_t number);

}  // namespace evenhead::io
