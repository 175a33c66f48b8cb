// The plan of a system as SVG 1.1: to scale where the case gives coordinates, else a schematic found from the
// graph.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/plan/states.hpp"
#include "io/write/output.hpp"
#include "io/write/sentences.hpp"

namespace evenhead::io {

/// A place that may be at fault, marked with its number.
struct PlanSuspect {
    int number = 0;  ///< from 1, the likeliest first
    std::vector<solver::ElementRef>
        things;         ///< one thing, or the pipes of a run; none: it is nowhere on a plan
    std::string words;  ///< what rests behind the mark
};

/// What is drawn; it must outlive the call.
struct PlanSubject {
    const model::System& system;
    const model::Layout& layout;
    const PlanMarks& marks;
    const Speaker& speaker;
    std::span<const PlanSuspect> suspects{};
};

struct PlanOptions {
    Index run = model::none;  ///< this run; none: all together
    bool elevations = false;
    double width = 0;  ///< of the drawing in px, at least 300; 0: 1000
    /// True: a document of its own with style, title and legend. False: an <svg> for inside a page that holds
    /// plan_style() and legend; it has a second set of labels for narrow screens.
    bool standalone = true;
};

/// Writes the drawing. Each thing is one element with `id="head-12"`, `pipe-3`, `device-0`, `valve-2`,
/// `supply-0` or `point-7` (its position in the table of the System); classes say kind and state, a <title>
/// its id and numbers in words. A head's own valve is drawn as part of the head: `valve-2` lies inside
/// `head-12`. A suspect place is `suspect-3` by its number. Throws WriteError.
void write_plan(Output& output, const PlanSubject& subject, const PlanOptions& options);

/// The legend alone as an <svg> of its own, `width` px wide, of what this system has; for inside a page.
void write_plan_legend(Output& output, const PlanSubject& subject, double width);

/// The style of the classes, used in both: CSS.
std::string_view plan_style();

/// What a page has to say beside the drawing: that it is not to scale, and what was placed by pipe length. A
/// sentence each; empty where there is nothing.
std::vector<std::string> plan_remarks(const PlanSubject& subject);

/// Whether a drawing inside a page has the elevations of its points too, in groups of class `elevations` that
/// the page shows when asked.
bool plan_offers_elevations(const model::System& system);

/// False: the plan is a schematic, not to scale.
bool plan_is_to_scale(const model::System& system);

}  // namespace evenhead::io
