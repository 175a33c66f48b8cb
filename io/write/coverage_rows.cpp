// Even watering as JSON and CSV.
#include <cmath>

#include "io/write/common_json.hpp"
#include "io/write/coverage.hpp"
#include "io/write/row_sinks.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::HeadCoverage;
using solver::ZoneCans;
using solver::ZoneCoverage;

/// What JSON and CSV have in common, in the order of the columns.
void zone_row(RowSink& row, const Speaker& speaker, const ZoneCoverage& zone) {
    const auto number = [&](std::string_view key, double si, Dimension dimension) {
        row.number(key, speaker.units.in_unit(si, dimension));
    };
    row.text("valve", zone_id(speaker.system, zone));
    number("area", zone.area, Dimension::area);
    number("rate", zone.rate, Dimension::rate);
    number("rate_formula", zone.rate_formula, Dimension::rate);
    row.number("du_lq", zone.du_lq);
    row.number("cu", zone.cu);
    row.number("lost", zone.lost);
    row.text("run", zone.run == model::none ? "" : speaker.system.runs[at(zone.run)].id);
    row.text("ground", std::isnan(zone.area) ? "" : zone.areas.empty() ? "hull" : "areas");
    number("flow", zone.flow, Dimension::flow);
    number("grid", zone.side, Dimension::length);
    row.number("below_half", zone.below_half);
    row.number("uniform_du_lq", zone.uniform_du_lq);
    row.number("uniform_cu", zone.uniform_cu);
    row.text("why_none", uncovered_words(speaker, zone));
}

constexpr std::string_view zone_columns =
    "valve,area,rate,rate_formula,du_lq,cu,lost,run,ground,flow,grid,below_half,uniform_du_lq,uniform_cu,"
    "why_none,cans,measured_rate,measured_du_lq,measured_cu,computed_rate,computed_du_lq,computed_cu\n";

const ZoneCans* cans_of(const CoverageSubject& subject, const ZoneCoverage& zone) {
    for (const ZoneCans& cans : subject.cans)
        if (cans.valve == zone.valve) return &cans;
    return nullptr;
}

class CoverageJson {
  public:
    CoverageJson(Output& output, const CoverageSubject& subject)
        : output_(output), json_(output), row_(json_), subject_(subject), speaker_(subject.speaker) {}

    void write(const std::vector<model::Issue>& warnings, const std::vector<std::string>& files) {
        json_.begin_object().key("schema").whole(1);
        json_.text("case", case_title(speaker_.system, subject_.case_path));
        json_.key("units").begin_object();
        for (const auto& [name, dimension] :
             {std::pair{"pressure", Dimension::pressure}, std::pair{"flow", Dimension::flow},
              std::pair{"length", Dimension::length}, std::pair{"rate", Dimension::rate},
              std::pair{"area", Dimension::area}})
            json_.text(name, speaker_.units.word(dimension));
        json_.end_object().line().text("estimate", coverage_caution);
        json_.line().key("zones").begin_array();
        for (const ZoneCoverage& zone : subject_.zones) this->zone(zone);
        json_.end_array().line().key("warnings").begin_array();
        for (const std::string& text : coverage_warnings(speaker_, subject_.zones))
            json_.line().begin_object().text("text", text).end_object();
        warnings_json(json_, warnings, files);
        json_.end_array().end_object();
        output_.write("\n");
    }

  private:
    double length(double metres) const { return speaker_.units.in_unit(metres, Dimension::length); }
    double rate(double si) const { return speaker_.units.in_unit(si, Dimension::rate); }
    std::string head_id(model::Index head) const {
        return speaker_.system.point_id(speaker_.system.heads[at(head)].point);
    }

    void zone(const ZoneCoverage& zone) {
        json_.line().begin_object();
        zone_row(row_, speaker_, zone);
        json_.key("cells").whole(static_cast<long long>(zone.cells));
        json_.key("areas").begin_array();
        for (const model::Index area : zone.areas) json_.text(speaker_.system.areas[at(area)].id);
        json_.end_array();
        compared_heads(zone);
        json_.line().key("driest").begin_array();
        for (const solver::DryPlace& place : zone.driest)
            json_.begin_object()
                .number("x", length(place.x))
                .number("y", length(place.y))
                .number("depth", place.depth)
                .end_object();
        json_.end_array();
        json_.line().key("heads").begin_array();
        for (const HeadCoverage& head : zone.heads) this->head(head);
        json_.end_array().line().key("left_out").begin_array();
        for (const solver::LeftOut& row : zone.left_out)
            json_.begin_object()
                .text("id", head_id(row.head))
                .text("why", left_out_words(row.why))
                .end_object();
        json_.end_array().key("dry").begin_array();
        for (const model::Index head : zone.dry) json_.text(head_id(head));
        json_.end_array().key("cans");
        if (const ZoneCans* cans = cans_of(subject_, zone))
            this->cans(*cans);
        else
            json_.null();
        json_.end_object();
    }

    /// How alike the zone's heads are, and which stands farthest from its neighbour.
    void compared_heads(const ZoneCoverage& zone) {
        json_.key("matched");
        if (zone.heads.empty()) {
            json_.null().key("spacing").null();
            return;
        }
        const auto own = [&](std::string_view key, const HeadCoverage& head) {
            json_.key(key).begin_object().text("id", head_id(head.head));
            json_.number("rate", rate(head.thrown.own_rate())).end_object();
        };
        json_.begin_object();
        own("highest", zone.heads[zone.wettest]);
        own("lowest", zone.heads[zone.lowest]);
        json_.number("difference", zone.matched_difference()).end_object();
        json_.key("spacing");
        const HeadCoverage* wide = widest_spacing(zone);
        if (wide == nullptr) {
            json_.null();
            return;
        }
        json_.begin_object().text("widest", head_id(wide->head)).text("nearest", head_id(wide->nearest));
        json_.number("share", wide->spacing()).end_object();
    }

    void head(const HeadCoverage& head) {
        const solver::ThrowNumbers& numbers = head.thrown.numbers();
        json_.line().begin_object().text("id", head_id(head.head));
        json_.number("x", length(numbers.x)).number("y", length(numbers.y));
        json_.number("pressure", speaker_.units.in_unit(head.pressure, Dimension::pressure));
        json_.number("flow", speaker_.units.in_unit(numbers.flow, Dimension::flow));
        json_.number("radius", length(numbers.radius)).number("arc", numbers.arc);
        json_.number("facing", head.thrown.full_circle() ? std::nan("") : numbers.facing);
        json_.number("rate", rate(head.thrown.own_rate()));
        json_.key("nearest");
        if (head.nearest == model::none)
            json_.null();
        else
            json_.text(head_id(head.nearest));
        json_.number("distance", length(head.distance)).number("spacing", head.spacing()).end_object();
    }

    void cans(const ZoneCans& of) {
        json_.begin_object();
        for (const auto& [key, values] :
             {std::pair{"measured", &of.measured}, std::pair{"computed", &of.computed}}) {
            json_.key(key).begin_object().number("rate", rate(values->mean));
            json_.number("du_lq", values->du_lq).number("cu", values->cu).end_object();
        }
        json_.key("cans").begin_array();
        for (const solver::CanCompared& row : of.cans)
            json_.begin_object()
                .number("x", length(row.can.x))
                .number("y", length(row.can.y))
                .number("measured", rate(row.can.rate))
                .number("computed", rate(row.computed))
                .end_object();
        json_.end_array().end_object();
    }

    Output& output_;
    JsonWriter json_;
    JsonRow row_;
    const CoverageSubject& subject_;
    const Speaker& speaker_;
};

}  // namespace

void write_coverage_json(Output& output, const CoverageSubject& subject,
                         const std::vector<model::Issue>& warnings, const std::vector<std::string>& files) {
    CoverageJson(output, subject).write(warnings, files);
}

void write_coverage_csv(Output& output, const CoverageSubject& subject) {
    output.write(zone_columns);
    CsvRow row(output);
    for (const ZoneCoverage& zone : subject.zones) {
        zone_row(row, subject.speaker, zone);
        const ZoneCans* cans = cans_of(subject, zone);
        const auto rate = [&](double si) { return subject.speaker.units.in_unit(si, Dimension::rate); };
        row.number("cans", cans == nullptr ? std::nan("") : static_cast<double>(cans->cans.size()));
        for (const solver::Uniformity* values :
             {cans == nullptr ? nullptr : &cans->measured, cans == nullptr ? nullptr : &cans->computed}) {
            row.number("rate", values == nullptr ? std::nan("") : rate(values->mean));
            row.number("du_lq", values == nullptr ? std::nan("") : values->du_lq);
            row.number("cu", values == nullptr ? std::nan("") : values->cu);
        }
        row.end();
    }
}

}  // namespace evenhead::io
