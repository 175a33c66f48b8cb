#include "io/geo/survey_case.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include "io/excerpt.hpp"
#include "io/geo/survey_parts.hpp"
#include "io/units.hpp"
#include "io/write/json_writer.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using model::none;
using model::Place;

model::PointKind kind_of_type(std::string_view type) {
    const std::string_view table = table_of_type(type);
    if (table == "supplies") return model::PointKind::supply;
    if (table == "devices") return model::PointKind::device;
    if (table == "valves") return model::PointKind::valve;
    return table == "heads" ? model::PointKind::head : model::PointKind::plain;
}

class Maker {
  public:
    Maker(const SurveyFile& survey, double snap, std::string title)
        : survey_(survey), features_(survey.features), title_(std::move(title)) {
        made_.files = survey.files;
        made_.errors = survey.errors;
        made_.units = survey.units;
        made_.snap = snap;
        made_.origin = survey.origin;
        made_.origin_found = survey.origin_found;
        made_.units_assumed = survey.units_assumed;
        made_.unknown_keys = survey.unknown_keys;
        made_.unknown_types = survey.unknown_types;
        made_.changed_ids = survey.changed_ids;
        made_.not_carried = survey.not_carried;
        for (const SurveyFeature& feature : features_)
            made_.assumed_types += feature.assumed_type && feature.type == "point" ? 1 : 0;
    }

    SurveyCase make() {
        if (made_.errors.empty()) {
            take_points();
            take_lines();
        }
        if (made_.errors.empty()) {
            made_.joined = model::join_survey(joining_, made_.snap);
            std::vector<Place> places;
            for (const std::size_t feature : feature_of_line_) places.push_back(features_[feature].place);
            made_.errors = check_joined(made_, joining_, places);
        }
        if (made_.errors.empty()) {
            write();
            read_again();
        }
        return std::move(made_);
    }

  private:
    // ---- the survey, to be joined

    void name(SurveyFeature& feature) {
        if (!feature.id.empty()) return;
        do feature.id = fmt::format("{}-{}", feature.type, ++counts_[feature.type]);
        while (ids_.contains(feature.id));
        ++made_.named;
    }

    void take_points() {
        if (std::none_of(features_.begin(), features_.end(),
                         [](const SurveyFeature& feature) { return feature.type == "supply"; }))
            made_.errors.push_back({{0, 1, 1},
                                    "the survey",
                                    "nothing in it is a supply",
                                    "give the point where the water comes from the type supply"});
        for (const SurveyFeature& feature : features_)
            if (!feature.id.empty()) ids_.insert(feature.id);
        std::map<std::string, std::size_t> first;
        for (std::size_t i = 0; i < features_.size(); ++i) {
            SurveyFeature& feature = features_[i];
            if (feature.is_line()) continue;
            name(feature);
            if (feature.is_area()) continue;
            const auto [known, fresh] = first.try_emplace(feature.id, i);
            if (!fresh && same_again(features_[known->second], feature)) {
                made_.doubled.push_back(feature.id);
                continue;
            }
            model::SurveyPoint point;
            point.id = feature.id;
            point.kind = kind_of_type(feature.type);
            point.directed = point.kind == model::PointKind::valve ||
                             (point.kind == model::PointKind::device && feature.type != "gate");
            point.has_place = !feature.way.empty();
            if (point.has_place) point.place = feature.way.front();
            index_.try_emplace(feature.id, static_cast<Index>(joining_.points.size()));
            joining_.points.push_back(point);
            feature_of_point_.push_back(i);
        }
    }

    /// The same thing surveyed twice. What contradicts itself is an error.
    bool same_again(const SurveyFeature& before, const SurveyFeature& again) {
        double away = 0;
        if (!before.way.empty() && !again.way.empty())
            away = std::hypot(before.way[0][0] - again.way[0][0], before.way[0][1] - again.way[0][1]);
        bool same = before.type == again.type && away <= made_.snap;
        for (const auto& [key, value] : again.values) {
            const std::string* known = before.find(key);
            same = same && (key == "elev" || (known && *known == value));
        }
        if (!same)
            made_.errors.push_back(
                {again.place, again.id,
                 fmt::format("a second point is called {} (the first is on line {}), and it is "
                             "not the same: {} away",
                             io::quoted(again.id), before.place.line, length_text(away)),
                 "give one of the two another id, or leave one out"});
        return true;
    }

    std::string length_text(double metres) const {
        return fmt::format("{:.2f} {}", to_units(metres, Dimension::length, made_.units),
                           unit_word(Dimension::length, made_.units));
    }

    void take_lines() {
        for (std::size_t i = 0; i < features_.size(); ++i) {
            const SurveyFeature& feature = features_[i];
            if (!feature.is_line()) continue;
            model::SurveyLine line;
            line.id = feature.id;
            line.way = feature.way;
            if (!feature.from.empty())
                line.from = point_named(feature.from, line.way.empty() ? nullptr : &line.way.front());
            if (!feature.to.empty())
                line.to = point_named(feature.to, line.way.empty() ? nullptr : &line.way.back());
            if (line.way.empty() && !line.named())
                made_.errors.push_back({feature.place, feature.id,
                                        "a pipe without coordinates and without ends",
                                        "draw it as a LineString, or name its ends: from and to"});
            made_.line_names.push_back(
                feature.id.empty() ? fmt::format("the line at {}:{}", survey_.files[0], feature.place.line)
                                   : feature.id);
            joining_.lines.push_back(std::move(line));
            feature_of_line_.push_back(i);
        }
    }

    /// A point that a pipe names; one that nobody surveyed is made where the pipe ends.
    Index point_named(const std::string& id, const model::SurveyPlace* place) {
        const auto [known, fresh] = index_.try_emplace(id, static_cast<Index>(joining_.points.size()));
        if (fresh) {
            model::SurveyPoint point;
            point.id = id;
            point.has_place = place != nullptr;
            if (place) point.place = *place;
            joining_.points.push_back(point);
            feature_of_point_.push_back(features_.size());
        }
        return known->second;
    }

    // ---- the case

    std::string number(double metres) const {
        const double value = to_units(metres, Dimension::length, made_.units);
        return shortest(std::round(value * 1e4) / 1e4 + 0.0);
    }

    void write() {
        text_.line("# Written from a survey. \"?\" stands for what nobody surveyed: put in what is known.");
        text_.line(
            "# Not for fire protection. Locate buried utilities before digging; the local code decides.");
        bool titled = false;
        for (const auto& [key, value] : survey_.top) {
            text_.line(key + " = " + value, survey_.case_place);
            titled = titled || key == "title";
        }
        if (!titled) text_.line("title = " + json_string(title_));
        text_.line(made_.units == model::UnitSystem::us ? "units = \"us\"" : "units = \"metric\"");
        if (made_.origin)
            text_.line(fmt::format("origin = [{}, {}]   # longitude, latitude of x = y = 0{}",
                                   toml_float((*made_.origin)[0]), toml_float((*made_.origin)[1]),
                                   made_.origin_found ? ": the south-western corner of the survey" : ""));
        for (const std::string_view table : {"supplies", "devices", "valves"}) points(table);
        nozzles();
        for (const auto& [table, rows] : survey_.tables)
            if (table != "nozzles") rows_of(table, rows);
        for (const std::string_view table : {"heads", "points"}) points(table);
        pipes();
        areas();
    }

    static std::string toml_float(double value) {
        std::string text = shortest(value);
        if (text.find_first_of(".e") == std::string::npos) text += ".0";
        return text;
    }

    void rows_of(const std::string& table, const std::vector<std::string>& rows) {
        if (rows.empty()) return;
        text_.line("");
        text_.line(table + " = [");
        for (const std::string& row : rows) text_.line("  " + row + ",", survey_.case_place);
        text_.line("]");
    }

    void unknown(std::string_view table, const std::string& id, std::string_view key, std::string& row) {
        row += fmt::format(", {} = \"?\"", key);
        made_.unknown.push_back({std::string(table), id, std::string(key)});
    }

    /// What a row of the table cannot be without.
    void wanted(std::string_view table, const SurveyFeature& feature, std::string& row) {
        const auto has_loss = [&] {
            return feature.has("cv") || feature.has("kv") || feature.has("k") || feature.has("flow") ||
                   feature.has("loss") || feature.has("size");
        };
        if (table == "supplies" && !feature.has("static")) unknown(table, feature.id, "static", row);
        if (table == "heads" && !feature.has("nozzle")) unknown(table, feature.id, "nozzle", row);
        if (table == "valves" && !has_loss()) unknown(table, feature.id, "cv", row);
        if (table != "devices") return;
        if (feature.type == "pump") {
            if (!feature.has("flow")) unknown(table, feature.id, "flow", row);
            if (!feature.has("rise")) unknown(table, feature.id, "rise", row);
        } else if (!has_loss() && feature.type != "gate" && feature.type != "check" &&
                   feature.type != "regulator" && feature.type != "master") {
            unknown(table, feature.id, "cv", row);
        }
    }

    void points(std::string_view table) {
        bool begun = false;
        const auto begin = [&] {
            if (std::exchange(begun, true)) return;
            text_.line("");
            text_.line(fmt::format("{} = [", table));
        };
        // A joint or end that was made stands where the line is that ends there.
        std::vector<Place> made_at(made_.joined.points.size(), Place{0, 1, 1});
        for (auto pipe = made_.joined.pipes.rbegin(); pipe != made_.joined.pipes.rend(); ++pipe)
            for (const Index end : {pipe->from, pipe->to})
                made_at[at(end)] = features_[feature_of_line_[at(pipe->line)]].place;
        for (std::size_t i = 0; i < made_.joined.points.size(); ++i) {
            const model::SurveyPoint& point = made_.joined.points[i];
            const SurveyFeature* feature =
                i < feature_of_point_.size() && feature_of_point_[i] < features_.size()
                    ? &features_[feature_of_point_[i]]
                    : nullptr;
            if ((feature ? table_of_type(feature->type) : std::string_view("points")) != table) continue;
            if (!feature && !point.has_place) continue;
            begin();
            std::string row = "id = " + json_string(point.id);
            if (table == "devices") row += ", type = " + json_string(feature->type);
            if (point.has_place)
                row += fmt::format(", x = {}, y = {}", number(point.place[0]), number(point.place[1]));
            if (feature) {
                for (const auto& [key, value] : feature->values) row += ", " + key + " = " + value;
                wanted(table, *feature, row);
            }
            text_.line("  { " + row + " },", feature ? feature->place : made_at[i]);
            ++made_.rows[std::string(table)];
        }
        if (begun) text_.line("]");
    }

    /// Those of the survey, and those that heads name and nobody describes.
    void nozzles() {
        std::vector<std::string> rows;
        std::set<std::string> known;
        for (const auto& [table, given] : survey_.tables)
            if (table == "nozzles")
                for (const std::string& row : given) {
                    rows.push_back(row);
                    const std::size_t id = row.find("\"id\" = ");
                    if (id != std::string::npos)
                        known.insert(row.substr(id + 7, row.find('"', id + 8) + 1 - (id + 7)));
                }
        known.insert("\"?\"");
        for (const SurveyFeature& feature : features_) {
            const std::string* nozzle = feature.find("nozzle");
            if (feature.type != "head" || !nozzle || !known.insert(*nozzle).second) continue;
            rows.push_back("{ id = " + *nozzle + ", pressure = \"?\", flow = \"?\" }");
            made_.unknown.push_back({"nozzles", nozzle->substr(1, nozzle->size() - 2), "pressure"});
            made_.unknown.push_back({"nozzles", nozzle->substr(1, nozzle->size() - 2), "flow"});
        }
        rows_of("nozzles", rows);
    }

    /// Values that stand for the whole of a line as it is drawn.
    static bool stays_with_whole(std::string_view key, bool whole, bool first) {
        if (key == "length" || key == "uphill") return whole;
        return whole || first || (key != "k" && key != "closed");
    }

    void pipes() {
        if (made_.joined.pipes.empty()) return;
        text_.line("");
        text_.line("pipes = [");
        std::set<std::string> taken;
        Index before = none;
        int piece = 0;
        for (const model::JoinedPipe& pipe : made_.joined.pipes) {
            const SurveyFeature& feature = features_[feature_of_line_[at(pipe.line)]];
            piece = pipe.line == before ? piece + 1 : 1;
            before = pipe.line;
            const std::string &from = made_.joined.points[at(pipe.from)].id,
                              &to = made_.joined.points[at(pipe.to)].id;
            const std::string usual = from + "-" + to;
            std::string id = feature.id.empty() ? ""
                             : pipe.whole       ? feature.id
                                                : fmt::format("{}-{}", feature.id, piece);
            if (id.empty())
                for (int again = 2; taken.contains(id.empty() ? usual : id); ++again)
                    id = fmt::format("{}-{}", usual, again);
            taken.insert(id.empty() ? usual : id);
            std::string row = fmt::format("from = {}, to = {}", json_string(from), json_string(to));
            if (!id.empty() && id != usual) row = "id = " + json_string(id) + ", " + row;
            for (const auto& [key, value] : feature.values) {
                const bool whole = pipe.whole && !(pipe.turned && key == "uphill");
                if (stays_with_whole(key, whole, piece == 1))
                    row += ", " + key + " = " + value;
                else if (piece == 1)
                    made_.parted.push_back(fmt::format("{} of {}", key, made_.line_names[at(pipe.line)]));
            }
            if (!pipe.bends.empty()) {
                row += ", bends = [";
                for (std::size_t i = 0; i < pipe.bends.size(); ++i)
                    row += fmt::format("{}[{}, {}]", i > 0 ? ", " : "", number(pipe.bends[i][0]),
                                       number(pipe.bends[i][1]));
                row += "]";
            }
            if (!feature.has("size") && !feature.has("bore"))
                unknown("pipes", id.empty() ? usual : id, "size", row);
            text_.line("  { " + row + " },", feature.place);
            ++made_.rows["pipes"];
        }
        text_.line("]");
    }

    void areas() {
        bool begun = false;
        for (const SurveyFeature& feature : features_) {
            if (!feature.is_area()) continue;
            if (!begun) {
                text_.line("");
                text_.line("areas = [");
            }
            begun = true;
            std::string row = "id = " + json_string(feature.id) + ", outline = [";
            for (std::size_t i = 0; i < feature.way.size(); ++i)
                row += fmt::format("{}[{}, {}]", i > 0 ? ", " : "", number(feature.way[i][0]),
                                   number(feature.way[i][1]));
            row += "]";
            for (const auto& [key, value] : feature.values) row += ", " + key + " = " + value;
            text_.line("  { " + row + " },", feature.place);
            ++made_.rows["areas"];
        }
        if (begun) text_.line("]");
    }

    /// A case that could not be read again is none: what is wrong with it is wrong with the survey.
    void read_again() {
        made_.toml = text_.text();
        const CaseReading reading = read_on_trial(made_.toml);
        const auto in_survey = [&](model::Issue issue) {
            issue.place = text_.in_survey(issue.place);
            return issue;
        };
        for (const model::Issue& issue : reading.errors) made_.errors.push_back(in_survey(issue));
        if (reading.system) made_.crossings = find_crossings(made_, joining_, reading);
        // What a gap says already need not be said again.
        std::set<std::string> told;
        for (const model::SurveyGap& gap : made_.joined.gaps)
            if (gap.point != none) told.insert(made_.joined.points[at(gap.point)].id);
        std::set<std::string> made;
        for (std::size_t i = feature_of_point_.size(); i < made_.joined.points.size(); ++i)
            made.insert(made_.joined.points[i].id);
        for (const model::Issue& issue : reading.warnings)
            if (!told.contains(issue.row)) {
                made_.warnings.push_back(in_survey(issue));
                // Ends that were made here have no name that could be misspelt.
                if (made.contains(issue.row))
                    made_.warnings.back().mend = "a dead end, or a line that nobody surveyed";
            }
    }

    const SurveyFile& survey_;
    std::vector<SurveyFeature> features_;
    const std::string title_;
    SurveyCase made_;
    model::Survey joining_;
    CaseText text_;
    std::set<std::string> ids_;
    std::map<std::string, int> counts_;
    std::map<std::string, Index> index_;
    std::vector<std::size_t> feature_of_point_, feature_of_line_;  ///< features_.size(): none
};

}  // namespace

bool SurveyCase::to_look_at() const {
    return !joined.gaps.empty() || !joined.twins.empty() || !joined.undirected.empty() ||
           !unknown_types.empty() || !not_carried.empty() ||
           std::any_of(crossings.begin(), crossings.end(), [](const auto& one) { return !one.drawn; });
}

SurveyCase survey_case(const SurveyFile& survey, double snap, const std::string& title) {
    return Maker(survey, snap, title).make();
}

}  // namespace evenhead::io
