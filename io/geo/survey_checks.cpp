// What is looked at once a survey is joined: lines of no length, and lines that cross.
#include <fmt/format.h>

#include <algorithm>

#include "io/geo/survey_parts.hpp"
#include "io/units.hpp"
#include "model/position.hpp"
#include "model/takeoff/routes.hpp"
#include "model/takeoff/takeoff.hpp"

namespace evenhead::io {

using model::Dimension;
using model::Index;

std::vector<model::Issue> check_joined(SurveyCase& made, const model::Survey& survey,
                                       const std::vector<model::Place>& places) {
    const auto& points = made.joined.points;
    std::erase_if(made.joined.gaps, [&](const model::SurveyGap& gap) {
        return gap.kind == model::SurveyGap::Kind::point_off &&
               model::names_a_controller(points[at(gap.point)].id);
    });
    std::vector<model::Issue> errors;
    for (const model::JoinedPipe& pipe : made.joined.pipes) {
        if (pipe.from != pipe.to) continue;
        const bool surveyed = at(pipe.from) < survey.points.size();
        errors.push_back(
            {places[at(pipe.line)], made.line_names[at(pipe.line)],
             fmt::format("both ends {}meet{}", pipe.whole ? "" : "of a part of it ",
                         surveyed ? " in " + points[at(pipe.from)].id : ""),
             fmt::format(
                 "leave it out, draw its ends to two points, or, where it is that short, take less than "
                 "{:.2f} {} with --snap",
                 to_units(made.snap, Dimension::length, made.units),
                 unit_word(Dimension::length, made.units))});
    }
    return errors;
}

std::vector<SurveyCrossing> find_crossings(const SurveyCase& made, const model::Survey& survey,
                                           const CaseReading& reading) {
    const auto drawn = [&](Index pipe) { return survey.lines[at(made.joined.pipes[at(pipe)].line)].named(); };
    std::vector<SurveyCrossing> crossings;
    for (const model::PipeCrossing& of : model::pipe_routes(*reading.system, reading.layout).crossings)
        crossings.push_back({reading.system->pipe_id(std::min(of.over, of.under)),
                             reading.system->pipe_id(std::max(of.over, of.under)), of.place, of.touches,
                             drawn(of.over) && drawn(of.under)});
    return crossings;
}

}  // namespace evenhead::io
