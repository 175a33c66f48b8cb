// A survey as a case: joined, written as TOML, and read again before anybody sees it.
#pragma once

#include <string>
#include <vector>

#include "io/geo/survey.hpp"
#include "io/write/layout.hpp"
#include "io/write/output.hpp"

namespace evenhead::io {

/// A value that nobody surveyed: "?" stands for it.
struct UnknownValue {
    std::string table, id, key;
};

/// Two lines that cross without a point in common.
struct SurveyCrossing {
    std::string one, other;  ///< pipes of the case
    model::SurveyPlace place{};
    bool touches = false;  ///< one ends on the other
    bool drawn = false;    ///< both name their ends: somebody meant it so
};

struct SurveyCase {
    std::vector<std::string> files;    ///< Place::file of the issues: the survey
    std::vector<model::Issue> errors;  ///< in the survey; then there is no case
    std::string toml;
    std::vector<model::Issue> warnings;  ///< of the case, at the places of the survey
    model::UnitSystem units = model::UnitSystem::us;
    double snap = 0;  ///< m
    std::optional<std::array<double, 2>> origin;
    bool origin_found = false, units_assumed = false;

    model::JoinedSurvey joined;
    std::vector<std::string> line_names;  ///< by line of the survey: its id, else where it stands
    std::vector<UnknownValue> unknown;    ///< in the order of the case
    std::vector<std::string> doubled;     ///< ids that stood there twice at one place: once kept
    std::vector<SurveyCrossing> crossings;
    std::vector<std::string> not_carried;
    std::vector<std::string> parted;  ///< what a parted or turned line could not keep: "length of main"
    std::size_t named = 0, assumed_types = 0, changed_ids = 0;
    std::map<std::string, SurveyLeftOut> unknown_keys, unknown_types;
    std::map<std::string, std::size_t> rows;  ///< by table

    /// Something to look at on site or in the survey: gaps, twins, what was left out.
    bool to_look_at() const;
};

/// Joins the survey within `snap` (m) and writes the case; `title` where the survey has none. A case that
/// could not be read gives errors instead.
SurveyCase survey_case(const SurveyFile& survey, double snap, const std::string& title);

/// What was done and what is to be looked at. `path`: of the case; empty: it is not in a file.
void write_survey_text(Output& output, const SurveyCase& made, const std::string& path, const Page& page);
/// `{schema, units, points, pipes, snapped, joints, gaps: [{kind, at, x, y, distance, nearest}], twins,
/// unknown_values, unknown_keys, unknown_types, ...}`.
void write_survey_json(Output& output, const SurveyCase& made);

}  // namespace evenhead::io
