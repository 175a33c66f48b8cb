// What the readers of surveys share. Not installed: use survey.hpp.
#pragma once

#include <string_view>

#include "io/geo/survey.hpp"
#include "io/geo/survey_case.hpp"
#include "io/read/case.hpp"

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

/// The text of a case, which knows from where in the survey each of its lines comes.
class CaseText {
  public:
    void line(const std::string& words, model::Place place = {0, 1, 1}) {
        text_ += words + "\n";
        places_.push_back(place);
    }
    const std::string& text() const { return text_; }
    /// Where in the survey an issue of the case stands.
    model::Place in_survey(const model::Place& place) const {
        const auto line = static_cast<std::size_t>(place.line);
        return line >= 1 && line <= places_.size() ? places_[line - 1] : model::Place{0, 1, 1};
    }

  private:
    std::string text_;
    std::vector<model::Place> places_;
};

/// Lines whose ends came together, as errors; and forgets gaps at controllers, which need no line. `places`:
/// of the lines.
std::vector<model::Issue> check_joined(SurveyCase& made, const model::Survey& survey,
                                       const std::vector<model::Place>& places);

/// Where pipes of the case that was made cross; it has them in their order in the joined survey.
std::vector<SurveyCrossing> find_crossings(const SurveyCase& made, const model::Survey& survey,
                                           const CaseReading& reading);

/// Reads the text of a case, in a folder of its own that goes again. Throws WriteError where there is no
/// room for one.
CaseReading read_on_trial(const std::string& toml);

/// Puts degrees onto the plane of the origin, which is found where nobody gives it. `degrees`: longitude and
/// latitude, in the ways of the features. Far places go to the errors.
void put_on_plane(SurveyFile& file, const SurveyOptions& options);

}  // namespace evenhead::io
