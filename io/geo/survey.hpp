// A survey: points and lines with what was noted of them, from GeoJSON (RFC 7946) or a CSV table of points.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "model/survey/joining.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// Something surveyed, with its values as a case writes them.
struct SurveyFeature {
    std::string type;    ///< supply valve head point pipe area, or the type of a device
    std::string id;      ///< empty: none was given
    model::Place place;  ///< where it stands in the file
    std::vector<std::pair<std::string, std::string>> values;  ///< key of the case, and TOML
    std::vector<model::SurveyPlace> way;  ///< m: one place; of pipes and areas several; empty: none given
    std::string from, to;                 ///< of a pipe: the points that it names
    bool assumed_type = false;            ///< by its geometry alone

    bool has(std::string_view key) const;
    const std::string* find(std::string_view key) const;
    bool is_line() const { return type == "pipe"; }
    bool is_area() const { return type == "area"; }
};

/// What of the file was not taken: how often, and where first.
struct SurveyLeftOut {
    std::size_t count = 0;
    model::Place first;
};

struct SurveyOptions {
    std::optional<model::UnitSystem> units;       ///< none: those of the file, else US
    std::optional<std::array<double, 2>> origin;  ///< longitude, latitude; none: of the file, else found
    std::map<std::string, std::string> names;  ///< by key of the case: the property or column that gives it
};

struct SurveyFile {
    std::vector<std::string> files;    ///< Place::file
    std::vector<model::Issue> errors;  ///< where there is one, nothing below is whole
    model::UnitSystem units = model::UnitSystem::us;
    bool units_assumed = true;  ///< neither asked for nor said by the file
    std::optional<std::array<double, 2>> origin;
    bool origin_found = false;  ///< the south-western corner of what was surveyed
    std::vector<SurveyFeature> features;
    /// What is no place, from a file that this program wrote: keys of the top of a case with TOML, and rows
    /// of tables.
    std::vector<std::pair<std::string, std::string>> top;
    std::vector<std::pair<std::string, std::vector<std::string>>> tables;
    model::Place case_place{0, 1, 1};  ///< where these stand
    std::vector<std::string> not_carried;                ///< what the program that wrote it says it left out
    std::map<std::string, SurveyLeftOut> unknown_keys;   ///< by name
    std::map<std::string, SurveyLeftOut> unknown_types;  ///< by type
    std::size_t changed_ids = 0;                         ///< blanks in an id became -
};

/// Reads a survey; GeoJSON unless the name ends in .csv. Never throws for bad input.
SurveyFile read_survey(const std::string& path, const SurveyOptions& options);

/// The table of the case that holds features of this type; empty: no type.
std::string_view table_of_type(std::string_view type);

}  // namespace evenhead::io
