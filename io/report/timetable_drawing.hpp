// A night over time: what each supply and pump passes, in steps, and below which valves are open.
#pragma once

#include <string_view>

#include "io/report/html.hpp"
#include "io/write/timetable.hpp"

namespace evenhead::io {

/// As SVG of so many pixels; `size` is its class, "narrow" or "wide".
void draw_night(Html& html, const TimetableSubject& subject, const solver::Night& night, double width,
                std::string_view size);

}  // namespace evenhead::io
