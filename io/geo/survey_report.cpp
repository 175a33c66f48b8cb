// What an import did, and what is to be looked at.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/geo/survey_case.hpp"
#include "io/units.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/json_writer.hpp"
#include "io/write/sentences.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::none;
using model::SurveyGap;

constexpr std::size_t most_named = 20;

class SurveyWords {
  public:
    SurveyWords(Output& output, const SurveyCase& made, const Page& page)
        : output_(output), made_(made), page_(page) {}

    void write(const std::string& path) {
        say(fmt::format("{}{}.", path.empty() ? "" : fmt::format("Wrote {}: ", printable(path)), counts()));
        std::vector<std::string> look;
        for (const auto& [count, noun] : {std::pair{made_.joined.gaps.size(), "gap"},
                                          {made_.joined.twins.size(), "pair"},
                                          {undrawn_crossings(), "crossing"}})
            if (count > 0) look.push_back(counted(count, noun));
        say(look.empty() ? "Everything meets." : fmt::format("Look at {}.", fmt::join(look, ", ")));
        if (!path.empty()) say(fmt::format("Next: evenhead check {}", shell_word(path)));
        gaps();
        list("Not known, \"?\" in the case", unknown_values());
        list("Not taken", left_out());
        list("Done", done());
    }

  private:
    void say(const std::string& words, std::string_view first = "") {
        output_.write(paragraph(words, page_.columns(), first));
    }
    void list(std::string_view heading, const std::vector<std::string>& sentences) {
        if (sentences.empty()) return;
        output_.write(fmt::format("\n{}\n", heading));
        for (const std::string& sentence : sentences) say(sentence, "- ");
    }

    std::string length(double metres) const {
        return fmt::format("{:.2f} {}", to_units(metres, Dimension::length, made_.units),
                           unit_word(Dimension::length, made_.units));
    }
    std::string place(const model::SurveyPlace& at) const {
        return fmt::format("x {:.2f}, y {:.2f}", to_units(at[0], Dimension::length, made_.units),
                           to_units(at[1], Dimension::length, made_.units));
    }
    const std::string& id(model::Index point) const { return made_.joined.points[at(point)].id; }

    std::string counts() const {
        std::string text;
        for (const auto& [table, noun] : {std::pair{"supplies", "supply"},
                                          {"devices", "device"},
                                          {"valves", "valve"},
                                          {"heads", "head"},
                                          {"pipes", "pipe"},
                                          {"areas", "area"}}) {
            const auto rows = made_.rows.find(table);
            if (rows == made_.rows.end()) continue;
            const std::string words = std::string_view(noun) == "supply" && rows->second > 1
                                          ? fmt::format("{} supplies", rows->second)
                                          : counted(rows->second, noun);
            text += (text.empty() ? "" : ", ") + words;
        }
        return text;
    }

    std::string nearest(const SurveyGap& gap) const {
        if (gap.near_point != none) return id(gap.near_point);
        return gap.near_line != none ? "the line " + made_.line_names[at(gap.near_line)] : "";
    }

    void gaps() {
        std::vector<std::string> sentences;
        for (const SurveyGap& gap : made_.joined.gaps) {
            const std::string near = nearest(gap);
            switch (gap.kind) {
                case SurveyGap::Kind::loose_end:
                    sentences.push_back(fmt::format("{} at {} ends {} from {}", id(gap.point),
                                                    place(gap.place), length(gap.distance), near));
                    break;
                case SurveyGap::Kind::point_off:
                    sentences.push_back(near.empty() ? fmt::format("no line comes to {}", id(gap.point))
                                                     : fmt::format("no line comes to {} at {}: {} is {} away",
                                                                   id(gap.point), place(gap.place), near,
                                                                   length(gap.distance)));
                    break;
                case SurveyGap::Kind::far_end:
                    sentences.push_back(fmt::format("{} ends at {}, {} from {}, which it names",
                                                    made_.line_names[at(gap.near_line)], place(gap.place),
                                                    length(gap.distance), id(gap.point)));
            }
        }
        for (const model::SurveyTwins& twins : made_.joined.twins)
            sentences.push_back(fmt::format("{} and {} are {} apart: the same thing twice?", id(twins.one),
                                            id(twins.other), length(twins.distance)));
        for (const model::Index point : made_.joined.undirected)
            sentences.push_back(
                fmt::format("the lines do not tell which way water passes {}; they are left as "
                            "drawn",
                            id(point)));
        std::size_t crossings = 0;
        for (const SurveyCrossing& of : made_.crossings)
            if (!of.drawn && ++crossings <= most_named)
                sentences.push_back(fmt::format(
                    "{} and {} {} at {} without a point in common: a joint, or one above the other?", of.one,
                    of.other, of.touches ? "touch" : "cross", place(of.place)));
        if (crossings > most_named)
            sentences.push_back(fmt::format("and {} more crossings", crossings - most_named));
        list("Look at", sentences);
    }

    std::size_t undrawn_crossings() const {
        return static_cast<std::size_t>(std::count_if(made_.crossings.begin(), made_.crossings.end(),
                                                      [](const SurveyCrossing& of) { return !of.drawn; }));
    }

    std::vector<std::string> unknown_values() const {
        std::vector<std::string> sentences;
        std::map<std::string, std::vector<std::string>> by_key;
        std::vector<std::string> order;
        for (const UnknownValue& value : made_.unknown) {
            const std::string key = value.key + " of " + value.table;
            if (!by_key.contains(key)) order.push_back(key);
            by_key[key].push_back(value.id);
        }
        sentences.reserve(order.size());
        for (const std::string& key : order) sentences.push_back(key + ": " + some(by_key[key]));
        return sentences;
    }

    static std::string some(const std::vector<std::string>& ids) {
        std::string text;
        for (std::size_t i = 0; i < std::min(most_named, ids.size()); ++i)
            text += (text.empty() ? "" : ", ") + ids[i];
        if (ids.size() > most_named) text += fmt::format(" and {} more", ids.size() - most_named);
        return text;
    }

    std::vector<std::string> left_out() const {
        std::vector<std::string> sentences;
        for (const auto& [type, left] : made_.unknown_types)
            sentences.push_back(
                fmt::format("{} of type {}, first on line {}: nothing of a sprinkler system has "
                            "that type",
                            counted(left.count, "feature"), type, left.first.line));
        for (const auto& [key, left] : made_.unknown_keys)
            sentences.push_back(
                fmt::format("{} of {}, first on line {}: no key of a case; --key KEY={} takes it "
                            "for one",
                            key, counted(left.count, "feature"), left.first.line, key));
        for (const std::string& what : made_.parted)
            sentences.push_back(what + ": the line is parted or turned");
        for (const std::string& what : made_.not_carried)
            sentences.push_back(what + ": the file that it comes from does not have them");
        return sentences;
    }

    std::vector<std::string> done() const {
        std::vector<std::string> sentences;
        const model::JoinedSurvey& joined = made_.joined;
        sentences.push_back(fmt::format("{} snapped within {}, the farthest by {}",
                                        counted(joined.snapped, "end"), length(made_.snap),
                                        length(joined.farthest_snap)));
        if (joined.joints > 0)
            sentences.push_back(fmt::format("lines parted at {} that {} in their way",
                                            counted(joined.joints, "point"),
                                            joined.joints == 1 ? "lies" : "lie"));
        if (joined.turned > 0)
            sentences.push_back(
                fmt::format("{} turned, so that water enters and leaves valves and devices their "
                            "way",
                            counted(joined.turned, "line")));
        if (!made_.doubled.empty())
            sentences.push_back("surveyed twice and taken once: " + some(made_.doubled));
        if (made_.named > 0)
            sentences.push_back(
                fmt::format("{} without an id named after what it is", counted(made_.named, "feature")));
        if (made_.changed_ids > 0)
            sentences.push_back(fmt::format("blanks in {} became -", counted(made_.changed_ids, "id")));
        if (made_.assumed_types > 0)
            sentences.push_back(fmt::format("{} without a type taken for plain points",
                                            counted(made_.assumed_types, "feature")));
        if (made_.units_assumed)
            sentences.emplace_back(
                "numbers without a unit taken in psi, gpm, ft and in; --units metric: kPa, L/min, m and mm");
        if (made_.origin_found)
            sentences.push_back(
                fmt::format("origin {:.6f}, {:.6f}: the south-western corner of the survey; "
                            "--origin sets another",
                            (*made_.origin)[0], (*made_.origin)[1]));
        return sentences;
    }

    Output& output_;
    const SurveyCase& made_;
    const Page page_;
};

}  // namespace

void write_survey_text(Output& output, const SurveyCase& made, const std::string& path, const Page& page) {
    SurveyWords(output, made, page).write(path);
}

void write_survey_json(Output& output, const SurveyCase& made) {
    JsonWriter json(output);
    const model::JoinedSurvey& joined = made.joined;
    const auto length = [&](std::string_view key, double metres) {
        json.number(key, to_units(metres, Dimension::length, made.units));
    };
    const auto id = [&](model::Index point) { return point == none ? "" : joined.points[at(point)].id; };
    json.begin_object().key("schema").whole(1);
    json.key("units").begin_object().text("length", unit_word(Dimension::length, made.units)).end_object();
    length("snap", made.snap);
    if (made.origin) {
        json.key("origin").begin_array().number((*made.origin)[0]).number((*made.origin)[1]);
        json.end_array();
    }
    json.key("units_assumed").boolean(made.units_assumed);
    json.line().key("rows").begin_object();
    for (const auto& [table, rows] : made.rows) json.key(table).whole(static_cast<long long>(rows));
    json.end_object();
    json.key("snapped").whole(static_cast<long long>(joined.snapped));
    length("farthest_snap", joined.farthest_snap);
    json.key("joints").whole(static_cast<long long>(joined.joints));
    json.key("turned").whole(static_cast<long long>(joined.turned));
    json.line().key("gaps").begin_array();
    for (const SurveyGap& gap : joined.gaps) {
        constexpr std::string_view kinds[] = {"loose-end", "point-off", "far-end"};
        json.line().begin_object().text("kind", kinds[static_cast<std::size_t>(gap.kind)]);
        json.text("at", id(gap.point));
        length("x", gap.place[0]);
        length("y", gap.place[1]);
        length("distance", gap.distance);
        json.text("nearest_point", id(gap.near_point));
        json.text("nearest_line", gap.near_line == none ? "" : made.line_names[at(gap.near_line)])
            .end_object();
    }
    json.end_array().line().key("twins").begin_array();
    for (const model::SurveyTwins& twins : joined.twins) {
        json.line().begin_object().text("one", id(twins.one)).text("other", id(twins.other));
        length("distance", twins.distance);
        json.end_object();
    }
    json.end_array().line().key("crossings").begin_array();
    for (const SurveyCrossing& of : made.crossings) {
        json.line().begin_object().text("one", of.one).text("other", of.other);
        length("x", of.place[0]);
        length("y", of.place[1]);
        json.key("touches").boolean(of.touches).key("drawn").boolean(of.drawn).end_object();
    }
    json.end_array().line().key("undirected").begin_array();
    for (const model::Index point : joined.undirected) json.text(id(point));
    json.end_array().line().key("doubled").begin_array();
    for (const std::string& doubled : made.doubled) json.text(doubled);
    json.end_array().line().key("unknown_values").begin_array();
    for (const UnknownValue& value : made.unknown) {
        json.line().begin_object().text("table", value.table).text("id", value.id);
        json.text("key", value.key).end_object();
    }
    json.end_array();
    for (const auto& [key, lists] :
         {std::pair{"unknown_keys", &made.unknown_keys}, std::pair{"unknown_types", &made.unknown_types}}) {
        json.line().key(key).begin_array();
        for (const auto& [name, left] : *lists) {
            json.begin_object().text("name", name).key("count").whole(static_cast<long long>(left.count));
            json.key("line").whole(left.first.line).end_object();
        }
        json.end_array();
    }
    json.line().key("not_kept").begin_array();
    for (const std::string& what : made.parted) json.text(what);
    json.end_array().end_object();
    output.write("\n");
}

}  // namespace evenhead::io
