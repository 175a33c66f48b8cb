// The grade line along the water's way to one head: the ground, the height of the water's pressure above it,
// and where each loss falls.
#pragma once

#include <string>
#include <vector>

#include "io/report/html.hpp"
#include "io/write/sentences.hpp"
#include "model/graph.hpp"
#include "solver/worksheet/worksheet.hpp"

namespace evenhead::io {

/// Heights in m above the datum of the case; `along` is the length of pipe from the supply, m.
struct GradePoint {
    double along = 0, ground = 0, grade = 0;
};

/// What takes or adds pressure at one place, or along pipes that follow one another.
struct GradeLoss {
    double along = 0, grade = 0;  ///< where its label points to
    double change = 0;            ///< Pa, negative where pressure is lost; elevation not counted
    std::string words;            ///< "meter", "4 pipes"
};

struct GradeLine {
    std::vector<GradePoint> points;  ///< in the order of the water; a drop is two points at one place
    std::vector<GradeLoss> losses;
    double wanted = 0;  ///< height that the pressure wanted at the head makes, m; NaN: none wanted
};

GradeLine find_grade_line(const Speaker& speaker, const model::Layout& layout,
                          const solver::Worksheet& worksheet);

/// Draws it as an <svg> of the class `grade SIZE`, `width` px wide (at least 300). Labels that do not fit
/// without touching another are left out, the least losses first: the worksheet lists them all.
void draw_grade_line(Html& html, const Speaker& speaker, const solver::Worksheet& worksheet,
                     const GradeLine& line, double width, std::string_view size);

/// A label of the drawing as it was placed: its box in px.
struct PlacedLabel {
    std::size_t loss = 0;  ///< position in GradeLine::losses
    double left = 0, right = 0;
    double leader = 0, point = 0;  ///< x of its leader, at one end of the label, and of what it speaks of
    int row = 0;                   ///< 0 is nearest to the line
};

/// Places labels in rows above the line, so that no two touch and no leader crosses a label. `widths` and
/// `points` (px) are by loss; `right_end`: no label goes beyond it.
std::vector<PlacedLabel> place_labels(const GradeLine& line, const std::vector<double>& widths,
                                      const std::vector<double>& points, double right_end, int rows);

}  // namespace evenhead::io
