// GeoJSON (RFC 7946): a FeatureCollection, or a single Feature.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "io/excerpt.hpp"
#include "io/geo/meridian.hpp"
#include "io/geo/survey_parts.hpp"
#include "io/read/source.hpp"
#include "io/units.hpp"
#include "io/write/json_writer.hpp"

namespace evenhead::io {
namespace {

using Json = nlohmann::ordered_json;

constexpr int most_depth = 100;

/// Where the features begin: the objects in the array "features" of the outermost object. The text has been
/// parsed already, so that brackets and quotes match.
std::vector<std::size_t> feature_offsets(std::string_view text) {
    std::vector<std::size_t> offsets;
    int depth = 0;
    bool inside = false;
    std::string_view last;  // string before a colon
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (c == '"') {
            const std::size_t begin = ++i;
            while (text[i] != '"') i += text[i] == '\\' ? 2 : 1;
            if (depth == 1) last = text.substr(begin, i - begin);
        } else if (c == '{' || c == '[') {
            if (c == '[' && depth == 1 && last == "features") inside = true;
            if (c == '{' && depth == 2 && inside) offsets.push_back(i);
            ++depth;
        } else if (c == '}' || c == ']') {
            if (--depth == 1) inside = false;
        }
    }
    return offsets;
}

/// How deep brackets lie in each other. What is no JSON may give anything.
int deepest(std::string_view text) {
    int depth = 0, most = 0;
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (c == '"') quoted = !quoted;
        if (quoted && c == '\\') ++i;
        if (quoted) continue;
        if (c == '{' || c == '[') most = std::max(most, ++depth);
        if (c == '}' || c == ']') --depth;
    }
    return most;
}

/// A value as TOML; empty for null.
std::string toml_of(const Json& value) {
    switch (value.type()) {
        case Json::value_t::boolean:
            return value.get<bool>() ? "true" : "false";
        case Json::value_t::number_integer:
        case Json::value_t::number_unsigned:
            return value.dump();
        case Json::value_t::number_float:
            return shortest(value.get<double>());
        case Json::value_t::string:
            return json_string(value.get_ref<const std::string&>());
        case Json::value_t::array: {
            std::string text;
            for (const Json& item : value) text += (text.empty() ? "" : ", ") + toml_of(item);
            return "[" + text + "]";
        }
        case Json::value_t::object: {
            std::string text;
            for (const auto& [key, item] : value.items())
                if (!item.is_null())
                    text += (text.empty() ? " " : ", ") + json_string(key) + " = " + toml_of(item);
            return "{" + text + (text.empty() ? "}" : " }");
        }
        default:
            return "";
    }
}

std::string text_of(const Json& value) {
    if (value.is_string()) return value.get<std::string>();
    return value.is_null() ? "" : value.dump();
}

class GeoReader {
  public:
    GeoReader(std::string_view text, const SurveyOptions& options, SurveyFile& file)
        : text_(text), lines_(text), options_(options), file_(file) {}

    void read() {
        if (deepest(text_) > most_depth) {
            error({0, 1, 1}, "", fmt::format("brackets lie more than {} deep in each other", most_depth),
                  "no GeoJSON needs that");
            return;
        }
        Json whole;
        try {
            whole = Json::parse(text_);
        } catch (const Json::parse_error& fault) {
            const std::string what = fault.what();
            const std::size_t words = what.rfind(": ");
            error(
                place_at(fault.byte > 0 ? fault.byte - 1 : 0), "",
                "this is no JSON: " + excerpt(what.substr(words == std::string::npos ? 0 : words + 2), 120),
                "write GeoJSON anew from the program that it comes from; for a table of points let the name "
                "end in .csv");
            return;
        } catch (const Json::exception& fault) {  // a number that no double holds
            const std::string what = fault.what();
            error({0, 1, 1}, "", "this cannot be read: " + excerpt(what.substr(what.find("] ") + 2), 120),
                  "write GeoJSON anew from the program that it comes from");
            return;
        }
        const std::string type = whole.is_object() && whole.contains("type") ? text_of(whole["type"]) : "";
        if (type != "FeatureCollection" && type != "Feature") {
            error({0, 1, 1}, "", "this is JSON, but no FeatureCollection",
                  "write GeoJSON (RFC 7946): { \"type\": \"FeatureCollection\", \"features\": [ ... ] }");
            return;
        }
        reference_system(whole);
        if (whole.contains("case")) {
            if (const std::size_t begin = text_.find("\"case\""); begin != std::string_view::npos)
                file_.case_place = place_at(begin);
            the_case(whole["case"]);
        }
        if (type == "Feature") {
            feature(whole, {0, 1, 1});
        } else if (!whole.contains("features") || !whole["features"].is_array()) {
            error({0, 1, 1}, "", "the FeatureCollection has no list of features",
                  "write \"features\": [ ... ]");
        } else {
            const auto offsets = feature_offsets(text_);
            std::size_t number = 0;
            for (const Json& one : whole["features"]) {
                const model::Place place =
                    number < offsets.size() ? place_at(offsets[number]) : model::Place{0, 1, 1};
                name_ = fmt::format("features[{}]", number++);
                feature(one, place);
            }
        }
        if (file_.errors.empty()) put_on_plane(file_, options_);
    }

  private:
    void error(model::Place place, const std::string& row, std::string text, std::string mend) {
        file_.errors.push_back({place, row.empty() ? name_ : row, std::move(text), std::move(mend)});
    }

    /// Counts on from the place before, where that stands on the same line: many a file is one long line.
    model::Place place_at(std::size_t offset) {
        offset = std::min(offset, text_.size());
        const int line = lines_.line_of(offset);
        if (line != counted_line_ || offset < counted_to_) {
            counted_line_ = line;
            counted_to_ = lines_.begin(line);
            characters_ = 0;
        }
        characters_ += count_characters(text_.substr(counted_to_, offset - counted_to_));
        counted_to_ = offset;
        return {0, line, characters_ + 1};
    }

    /// RFC 7946 knows one system of coordinates; older files may name another.
    void reference_system(const Json& whole) {
        if (!whole.contains("crs") || whole["crs"].is_null()) return;
        const std::string words = whole["crs"].dump();
        if (words.find("CRS84") != std::string::npos || words.find("4326") != std::string::npos) return;
        error({0, 1, 1}, "crs", "the file is in another system of coordinates: " + excerpt(words, 80),
              "write it anew in longitude and latitude (WGS 84), as RFC 7946 asks");
    }

    static bool one_of(std::string_view key, std::initializer_list<std::string_view> keys) {
        return std::find(keys.begin(), keys.end(), key) != keys.end();
    }

    void the_case(const Json& of) {
        if (!of.is_object()) return;
        for (const auto& [key, value] : of.items()) {
            if (value.is_null()) continue;
            if (key == "units" && (value == "us" || value == "metric")) {
                file_.units = value == "us" ? model::UnitSystem::us : model::UnitSystem::metric;
                file_.units_assumed = false;
                if (options_.units && *options_.units != file_.units)
                    error({0, 1, 1}, "case",
                          fmt::format("its numbers are in {} units", value.get<std::string>()),
                          "leave --units out");
            } else if (key == "origin") {
                if (value.is_array() && value.size() == 2 && value[0].is_number() && value[1].is_number())
                    file_.origin = {value[0].get<double>(), value[1].get<double>()};
            } else if (key == "not_carried" && value.is_array()) {
                for (const Json& what : value) file_.not_carried.push_back(text_of(what));
            } else if (one_of(key, {"title", "job", "date", "show", "friction", "temperature", "ground",
                                    "window", "limits"})) {
                if (!value.is_structured() || !value.empty()) file_.top.emplace_back(key, toml_of(value));
            } else if (one_of(key, {"nozzles", "kinds", "runs", "conditions", "readings", "seen", "prices",
                                    "watering"}) &&
                       value.is_array()) {
                auto& rows = file_.tables.emplace_back(key, std::vector<std::string>()).second;
                for (const Json& row : value)
                    if (row.is_object()) rows.push_back(toml_of(row));
            }
        }
    }

    void feature(const Json& one, model::Place place) {
        if (!one.is_object() || !one.contains("geometry")) {
            error(place, "", "this is no Feature", "a Feature has type, geometry and properties");
            return;
        }
        std::vector<SurveyValue> values;
        if (one.contains("id")) values.push_back({"id", text_of(one["id"]), "", place});
        if (one.contains("properties") && one["properties"].is_object())
            for (const auto& [name, value] : one["properties"].items())
                if (!value.is_null()) values.push_back({name, text_of(value), toml_of(value), place});
        const Json& geometry = one["geometry"];
        const std::string type =
            geometry.is_object() && geometry.contains("type") ? text_of(geometry["type"]) : "";
        SurveyFeature made;
        made.place = place;
        const std::string_view usual = type == "Polygon"                                   ? "area"
                                       : type == "LineString" || type == "MultiLineString" ? "pipe"
                                                                                           : "point";
        if (!take_values(file_, options_, values, usual, made)) return;
        if (!made.id.empty()) name_ += fmt::format(" ({})", excerpt(made.id, 30));
        if (geometry.is_null()) {
            file_.features.push_back(std::move(made));
            return;
        }
        const Json none = Json::array();
        const Json& coordinates =
            geometry.is_object() && geometry.contains("coordinates") ? geometry["coordinates"] : none;
        if (type == "MultiLineString" && coordinates.is_array() && made.is_line()) {
            if (coordinates.empty())
                return error(place, "", "its MultiLineString has no line",
                             "draw one, or leave the feature out");
            std::vector<SurveyFeature> parts;
            for (const Json& part : coordinates) {
                SurveyFeature line = made;
                if (!take_way(line, part, 2)) return;
                if (!parts.empty() && goes_on_past_meridian(parts.back().way, line.way))
                    join_at_meridian(parts.back().way, line.way);
                else
                    parts.push_back(std::move(line));
            }
            for (std::size_t part = 0; part < parts.size(); ++part) {
                if (!made.id.empty() && parts.size() > 1)
                    parts[part].id = fmt::format("{}-{}", made.id, part + 1);
                file_.features.push_back(std::move(parts[part]));
            }
            return;
        }
        const char* wanted = made.is_line() ? "LineString" : made.is_area() ? "Polygon" : "Point";
        if (type != wanted) {
            error(place, "",
                  fmt::format("a feature of type {} is drawn as {}", made.type,
                              type.empty() ? "nothing" : excerpt(type)),
                  fmt::format("draw it as a {}", wanted));
            return;
        }
        if (made.is_area()) {
            if (!coordinates.is_array() || coordinates.size() != 1 || coordinates[0].size() < 4) {
                error(place, "", "an area has one outline of three corners or more, without holes",
                      "draw an area for each part");
                return;
            }
            Json ring = coordinates[0];
            ring.erase(ring.size() - 1);  // the first corner again
            if (!take_way(made, ring, 3)) return;
        } else if (made.is_line()) {
            if (!take_way(made, coordinates, 2)) return;
        } else if (!take_way(made, Json::array({coordinates}), 1)) {
            return;
        }
        file_.features.push_back(std::move(made));
    }

    bool take_way(SurveyFeature& made, const Json& positions, std::size_t least) {
        if (!positions.is_array() || positions.size() < least) {
            error(made.place, "", fmt::format("it has fewer than {} positions", least),
                  "draw it anew: a position is [longitude, latitude]");
            return false;
        }
        for (const Json& position : positions) {
            const bool numbers = position.is_array() && position.size() >= 2 && position[0].is_number() &&
                                 position[1].is_number();
            const double longitude = numbers ? position[0].get<double>() : 999;
            const double latitude = numbers ? position[1].get<double>() : 999;
            if (!(std::abs(longitude) <= 180 && std::abs(latitude) <= 90)) {
                const bool changed_over = std::abs(longitude) <= 90 && std::abs(latitude) <= 180;
                error(made.place, "",
                      fmt::format("{} is no longitude and latitude", excerpt(position.dump(), 60)),
                      changed_over
                          ? "the two are changed over: write longitude first, as RFC 7946 wants it"
                          : "RFC 7946 wants degrees (WGS 84), longitude first: write the file anew in "
                            "them");
                return false;
            }
            made.way.push_back({longitude, latitude});
            // Metres, by RFC 7946.
            if (made.way.size() == 1 && position.size() > 2 && position[2].is_number() && !made.is_line() &&
                !made.is_area() && !made.has("elev"))
                made.values.emplace_back("elev", json_string(shortest(position[2].get<double>()) + " m"));
        }
        return true;
    }

    std::string_view text_;
    Lines lines_;
    const SurveyOptions& options_;
    SurveyFile& file_;
    std::string name_;  ///< of the feature that is read
    int counted_line_ = 0, characters_ = 0;
    std::size_t counted_to_ = 0;
};

}  // namespace

void read_geojson(std::string_view text, const SurveyOptions& options, SurveyFile& file) {
    GeoReader(text, options, file).read();
}

}  // namespace evenhead::io
