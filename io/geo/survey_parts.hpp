// What the readers of surveys share. Not installed: use survey.hpp.
#pragma once

#include <string_view>

#include "io/geo/survey.hpp"

namespace evenhead::io {

/// A value of a property or cell: its plain text (ids, references), and as TOML writes it.
struct SurveyValue {
    std::string name;  ///< of the property or column
    std::string text, toml;
    model::Place place;
};

/// Takes the values of one feature by the keys of its type; what it is follows from `type`, else from
/// `usual_type`. False: it is of no known type, which is noted.
bool take_values(SurveyFile& file, const SurveyOptions& options, const std::vector<SurveyValue>& values,
                 std::string_view usual_type, SurveyFeature& feature);

/// An id as a case may have it: blanks become -.
std::string clean_id(SurveyFile& file, std::string_view text);

/// A CSV cell as TOML: a number bare, anything else between quotes; [ ... ] is a list.
std::string toml_of_cell(std::string_view text);

void read_geojson(std::string_view text, const SurveyOptions& options, SurveyFile& file);
void read_point_table(std::string_view text, const SurveyOptions& options, SurveyFile& file);

/// Puts degrees onto the plane of the origin, which is found where nobody gives it. `degrees`: longitude and
/// latitude, in the ways of the features. Far places go to the errors.
void put_on_plane(SurveyFile& file, const SurveyOptions& options);

}  // namespace evenhead::io
