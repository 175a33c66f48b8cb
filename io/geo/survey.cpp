#include "io/geo/survey.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/excerpt.hpp"
#include "io/geo/case_cells.hpp"
#include "io/geo/plane.hpp"
#include "io/geo/survey_parts.hpp"
#include "io/read/fields.hpp"
#include "io/read/source.hpp"
#include "io/write/json_writer.hpp"
#include "model/nearest.hpp"

namespace evenhead::io {
namespace {

/// Keys that stand elsewhere: in the geometry, or at the head of a row.
constexpr std::string_view own_keys[] = {"id", "x", "y", "type", "outline", "bends", "along", "from", "to"};

bool is_number(std::string_view text) {
    std::size_t i = text.starts_with('-') ? 1 : 0;
    const auto digits = [&] {
        const std::size_t first = i;
        while (i < text.size() && text[i] >= '0' && text[i] <= '9') ++i;
        return i - first;
    };
    const bool zero = i < text.size() && text[i] == '0';
    const std::size_t whole = digits();
    if (whole == 0 || (zero && whole > 1)) return false;
    if (i < text.size() && text[i] == '.') {
        ++i;
        if (digits() == 0) return false;
    }
    return i == text.size();
}

}  // namespace

bool SurveyFeature::has(std::string_view key) const {
    return find(key) != nullptr;
}

const std::string* SurveyFeature::find(std::string_view key) const {
    for (const auto& [name, value] : values)
        if (name == key) return &value;
    return nullptr;
}

std::string_view table_of_type(std::string_view type) {
    constexpr std::pair<std::string_view, std::string_view> tables[] = {
        {"supply", "supplies"}, {"valve", "valves"}, {"head", "heads"},
        {"point", "points"},    {"pipe", "pipes"},   {"area", "areas"}};
    for (const auto& [word, table] : tables)
        if (word == type) return table;
    for (int device = 0; device <= static_cast<int>(model::DeviceType::other); ++device)
        if (type_word(static_cast<model::DeviceType>(device)) == type) return "devices";
    return "";
}

std::string clean_id(SurveyFile& file, std::string_view text) {
    std::string id(trimmed(text));
    bool changed = false;
    for (char& c : id)
        if (c == ' ' || c == '\t') {
            c = '-';
            changed = true;
        }
    file.changed_ids += changed ? 1 : 0;
    return id;
}

std::string toml_of_cell(std::string_view text) {
    if (is_number(text) || text == "true" || text == "false") return std::string(text);
    const bool plain = std::none_of(text.begin(), text.end(), [](char c) { return c >= 0 && c < ' '; });
    if (text.starts_with('[') && text.ends_with(']') && plain) return std::string(text);
    return json_string(text);
}

bool take_values(SurveyFile& file, const SurveyOptions& options, const std::vector<SurveyValue>& values,
                 std::string_view usual_type, SurveyFeature& feature) {
    // A name that --key gives to a key stands for nothing else.
    const auto key_of = [&](const std::string& name) -> std::string {
        for (const auto& [key, property] : options.names)
            if (property == name) return key;
        return options.names.contains(name) ? "" : name;
    };
    feature.type = usual_type;
    feature.assumed_type = true;
    for (const SurveyValue& value : values)
        if (key_of(value.name) == "type" && !value.text.empty()) {
            feature.type = value.text;
            feature.assumed_type = false;
        }
    const std::string_view table = table_of_type(feature.type);
    if (table.empty()) {
        SurveyLeftOut& left = file.unknown_types[feature.type];
        if (left.count++ == 0) left.first = feature.place;
        return false;
    }
    const auto& keys = find_table(table)->keys;
    for (const SurveyValue& value : values) {
        const std::string key = key_of(value.name);
        if (value.text.empty() || value.name.starts_with("result_") || key == "type") continue;
        if (key == "id") {
            feature.id = clean_id(file, value.text);
        } else if (feature.is_line() && (key == "from" || key == "to")) {
            (key == "from" ? feature.from : feature.to) = clean_id(file, value.text);
        } else if (std::find(keys.begin(), keys.end(), key) == keys.end() ||
                   std::find(std::begin(own_keys), std::end(own_keys), key) != std::end(own_keys)) {
            SurveyLeftOut& left = file.unknown_keys[value.name];
            if (left.count++ == 0) left.first = value.place;
        } else if (key == "valve" || key == "note" || key == "size" || key == "kind" || key == "nozzle") {
            const bool id = key == "valve" || key == "nozzle";
            feature.values.emplace_back(key, json_string(id ? clean_id(file, value.text) : value.text));
        } else {
            feature.values.emplace_back(key, value.toml);
        }
    }
    return true;
}

void put_on_plane(SurveyFile& file, const SurveyOptions& options) {
    if (options.origin) file.origin = options.origin;
    if (!file.origin) {
        // On both sides of the 180th meridian the south-western corner lies east of Greenwich.
        double west = 180, east = -180, past = 180, south = 90;
        bool any = false;
        for (const SurveyFeature& feature : file.features)
            for (const auto& place : feature.way) {
                west = std::min(west, place[0]);
                east = std::max(east, place[0]);
                if (place[0] >= 0) past = std::min(past, place[0]);
                south = std::min(south, place[1]);
                any = true;
            }
        if (!any) return;
        if (east - west > 180) west = past;
        // Whole millionths of a degree: nobody has to read more.
        file.origin = {std::floor(west * 1e6) / 1e6, std::floor(south * 1e6) / 1e6};
        file.origin_found = true;
    }
    const TangentPlane plane((*file.origin)[0], (*file.origin)[1]);
    for (SurveyFeature& feature : file.features)
        for (auto& place : feature.way) {
            const auto metres = plane.to_metres(place);
            if (metres && std::hypot((*metres)[0], (*metres)[1]) <= farthest_from_origin) {
                place = *metres;
                continue;
            }
            file.errors.push_back(
                {feature.place, feature.id,
                 fmt::format("{:.6f}, {:.6f} lies more than 50 km from the origin {:.6f}, {:.6f}", place[0],
                             place[1], (*file.origin)[0], (*file.origin)[1]),
                 "longitude comes before latitude: are the two changed over, or is the origin wrong?"});
            break;
        }
}

SurveyFile read_survey(const std::string& path, const SurveyOptions& options) {
    SurveyFile file;
    const bool table = path.size() >= 4 && (path.ends_with(".csv") || path.ends_with(".CSV"));
    Document document;
    document.files.push_back(path);
    const auto text = read_source(path, 0, {}, table, document);
    file.files = document.files;
    file.errors = std::move(document.errors);
    if (!text) return file;
    if (options.units) file.units = *options.units;
    file.units_assumed = !options.units;
    if (table)
        read_point_table(*text, options, file);
    else
        read_geojson(*text, options, file);
    return file;
}

}  // namespace evenhead::io
