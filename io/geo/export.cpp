#include "io/geo/export.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "io/geo/case_cells.hpp"
#include "io/geo/meridian.hpp"
#include "io/units.hpp"
#include "model/position.hpp"
#include "model/rule_sets.hpp"

namespace evenhead::io {

using model::Dimension;
using model::Index;
using model::PointKind;
using solver::ElementKind;

namespace {

// More rows of points, pipes and devices in all runs together no program that shows maps reads.
constexpr std::size_t most_rows = 300'000;
// Of one thing; the others are counted.
constexpr std::size_t most_findings = 20;

/// A hundredth of a millimetre on the ground.
double rounded_degrees(double degrees) {
    return std::round(degrees * 1e10) / 1e10;
}

std::optional<std::array<double, 2>> place_of(const model::Point& point) {
    if (!point.x || !point.y || !point.x->known() || !point.y->known()) return std::nullopt;
    return std::array{point.x->value, point.y->value};
}

bool too_far(const std::array<double, 2>& place) {
    return !(std::hypot(place[0], place[1]) <= farthest_from_origin);
}

}  // namespace

MapFault map_fault(const model::System& system) {
    if (!system.origin)
        return {"this case has no origin: nobody knows where on the earth its x = y = 0 lies",
                "write origin = [longitude, latitude] at its top, in degrees, such as [-97.7, 30.3]"};
    if (std::abs((*system.origin)[1]) > 89)
        return {"the origin lies at a pole", "write origin = [longitude, latitude], in degrees"};
    const auto far = [&](std::string_view what, const std::string& id) {
        return MapFault{fmt::format("{} {} lies more than 50 km from the origin", what, id),
                        "correct its x and y, or the origin"};
    };
    for (const model::Point& point : system.points)
        if (const auto place = place_of(point); place && too_far(*place)) return far("point", point.id);
    for (const model::Pipe& pipe : system.pipes)
        if (pipe.bends && std::any_of(pipe.bends->begin(), pipe.bends->end(), too_far))
            return far("a bend of pipe", system.pipe_id(pipe));
    for (const model::Area& area : system.areas)
        if (std::any_of(area.outline.begin(), area.outline.end(), too_far)) return far("area", area.id);
    return {};
}

/// Writes the features one after the other.
class GeoWriter::Features {
  public:
    explicit Features(GeoWriter& of)
        : of_(of), system_(of.speaker_.system), json_(of.output_), cells_(json_, system_) {}

    void write(const solver::CheckSummary& summary) {
        for (const solver::Finding& finding : summary.findings)
            if (finding.fails) of_.note(finding, model::none);
        json_.begin_object().text("type", "FeatureCollection");
        json_.line();
        the_case();
        json_.line().key("features").begin_array();
        for (std::size_t i = 0; i < system_.points.size(); ++i) point(static_cast<Index>(i));
        for (std::size_t i = 0; i < system_.pipes.size(); ++i) pipe(static_cast<Index>(i));
        for (const model::Area& of : system_.areas) area(of);
        json_.end_array().end_object();
        of_.output_.write("\n");
    }

  private:
    using Keys = std::array<std::pair<std::string_view, Dimension>, 3>;

    double shown(double si, Dimension dimension) const { return to_units(si, dimension, system_.units); }

    /// What is no place.
    void the_case() {
        json_.key("case").begin_object();
        cells_.top_and_tables(case_title(system_, of_.case_path_), of_.watering_);
        json_.key("not_carried").begin_array();
        for (const std::string& what : of_.not_carried()) json_.text(what);
        json_.end_array();
        json_.key("every_run").boolean(of_.every_run_);
        json_.key("unsolved").begin_array();
        for (const Index run : of_.failed_) json_.text(system_.runs[at(run)].id);
        json_.end_array().end_object();
    }

    void position(const std::array<double, 2>& place) { write(degrees_of(place)); }
    Degrees degrees_of(const std::array<double, 2>& place) const {
        const auto degrees = *of_.plane_.to_degrees(place);
        return {rounded_degrees(degrees[0]), rounded_degrees(degrees[1])};
    }
    void write(const Degrees& place) { json_.begin_array().number(place[0]).number(place[1]).end_array(); }
    void write(const std::vector<Degrees>& line) {
        json_.begin_array();
        for (const Degrees& place : line) write(place);
        json_.end_array();
    }

    void line(const std::vector<std::array<double, 2>>& way) {
        std::vector<Degrees> degrees;
        degrees.reserve(way.size());
        for (const auto& place : way) degrees.push_back(degrees_of(place));
        const auto parts = cut_at_meridian(degrees);
        json_.begin_object().text("type", parts.size() == 1 ? "LineString" : "MultiLineString");
        json_.key("coordinates");
        if (parts.size() > 1) json_.begin_array();
        for (const auto& part : parts) write(part);
        if (parts.size() > 1) json_.end_array();
        json_.end_object();
    }

    void begin(bool located) {
        json_.line().begin_object().text("type", "Feature").key("geometry");
        ++of_.features_;
        if (located) return;
        json_.null();
        ++of_.without_place_;
    }
    void end() { json_.end_object().end_object(); }

    void point(Index index) {
        const model::Point& of = system_.points[at(index)];
        const auto place = place_of(of);
        begin(place.has_value());
        if (place) {
            json_.begin_object().text("type", "Point").key("coordinates");
            position(*place);
            json_.end_object();
        }
        json_.key("properties").begin_object().text("id", of.id);
        switch (of.kind) {
            case PointKind::supply:
                json_.text("type", "supply");
                cells_.supply(system_.supplies[at(of.row)]);
                break;
            case PointKind::device:
                json_.text("type", type_word(system_.devices[at(of.row)].type));
                cells_.device(system_.devices[at(of.row)]);
                break;
            case PointKind::valve:
                json_.text("type", "valve");
                cells_.valve(system_.valves[at(of.row)]);
                break;
            case PointKind::head:
                json_.text("type", "head");
                cells_.head(system_.heads[at(of.row)]);
                break;
            case PointKind::plain:
                json_.text("type", "point");
        }
        cells_.point(of);
        json_.number("result_elev", shown(of_.layout_.elevation[at(index)], Dimension::length));
        results(of, index);
        end();
    }

    void results(const model::Point& of, Index index) {
        constexpr Dimension p = Dimension::pressure, q = Dimension::flow;
        const Keys two{{{"flow", q}, {"inlet", p}, {"outlet", p}}};
        switch (of.kind) {
            case PointKind::supply:
                runs(of_.supplies_[at(of.row)], {{{"pressure", p}, {"flow", q}, {}}}, false, of_.every_run_);
                findings(ElementKind::supply, of.row);
                break;
            case PointKind::device:
                runs(of_.devices_[at(of.row)], two, true, of_.every_run_);
                findings(ElementKind::device, of.row);
                return findings_end();
            case PointKind::valve:
                runs(of_.valves_[at(of.row)], two, true, true);
                findings(ElementKind::valve, of.row);
                return findings_end();
            case PointKind::head:
                runs(of_.heads_[at(of.row)], {{{"pressure", p}, {"flow", q}, {"radius", Dimension::length}}},
                     false, true);
                findings(ElementKind::head, of.row);
                break;
            case PointKind::plain:
                runs(of_.points_[at(index)], {{{"pressure", p}, {}, {}}}, false, of_.every_run_);
        }
        findings(ElementKind::point, index);
        findings_end();
    }

    /// The run with the least (or the largest) first number in short, then each run.
    void runs(const std::vector<Row>& rows, const Keys& keys, bool largest, bool every) {
        if (!rows.empty()) {
            const auto by_first = [](const Row& one, const Row& other) {
                return std::abs(one.values[0]) < std::abs(other.values[0]);
            };
            const auto least = [](const Row& one, const Row& other) {
                return one.values[0] < other.values[0];
            };
            const Row& worst = largest ? *std::max_element(rows.begin(), rows.end(), by_first)
                                       : *std::min_element(rows.begin(), rows.end(), least);
            for (std::size_t k = 0; k < keys.size(); ++k)
                if (!keys[k].first.empty())
                    json_.number("result_" + std::string(keys[k].first),
                                 shown(worst.values[k], keys[k].second));
            json_.text("result_run", system_.runs[at(worst.run)].id);
        }
        if (!every) return;
        json_.key("result_runs").begin_array();
        for (const Row& row : rows) {
            json_.begin_object().text("run", system_.runs[at(row.run)].id);
            for (std::size_t k = 0; k < keys.size(); ++k)
                if (!keys[k].first.empty()) json_.number(keys[k].first, shown(row.values[k], keys[k].second));
            json_.end_object();
        }
        json_.end_array();
    }

    void findings(ElementKind kind, Index index) {
        const auto found = of_.findings_.find({static_cast<int>(kind), index});
        if (found == of_.findings_.end()) return;
        open_findings();
        for (const std::string& words : found->second.words) json_.text(words);
        if (found->second.more > 0) json_.text(fmt::format("and {} more", found->second.more));
    }
    void open_findings() {
        if (!in_findings_) json_.key("result_findings").begin_array();
        in_findings_ = true;
    }
    void findings_end() {
        open_findings();
        json_.end_array();
        in_findings_ = false;
    }

    void pipe(Index index) {
        const model::Pipe& of = system_.pipes[at(index)];
        const auto from = place_of(system_.points[at(of.from)]), to = place_of(system_.points[at(of.to)]);
        std::vector<std::array<double, 2>> way;
        if (from && to) {
            way.push_back(*from);
            if (of.bends) way.insert(way.end(), of.bends->begin(), of.bends->end());
            way.push_back(*to);
        }
        // A line of no length is none to most programs that read maps.
        const bool located = std::any_of(way.begin(), way.end(), [&](const auto& p) { return p != way[0]; });
        begin(located);
        if (located) line(way);
        json_.key("properties").begin_object().text("id", system_.pipe_id(of)).text("type", "pipe");
        cells_.pipe(of);
        std::string part = of_.layout_.pipe_on_mainline[at(index)] != 0 ? "mainline" : "";
        for (const Index valve : of_.layout_.zone_of_pipe[at(index)])
            part += (part.empty() ? "" : " ") + system_.point_id(system_.valves[at(valve)].point);
        json_.text("result_part", part);
        runs(of_.pipes_[at(index)],
             {{{"flow", Dimension::flow}, {"velocity", Dimension::velocity}, {"loss", Dimension::pressure}}},
             true, of_.every_run_);
        findings(ElementKind::pipe, index);
        findings_end();
        end();
    }

    void area(const model::Area& of) {
        begin(of.outline.size() >= 3);
        if (of.outline.size() >= 3) {
            std::vector<std::array<double, 2>> ring = of.outline;
            double twice = 0;  // the area, above 0 where the ring runs counterclockwise
            for (std::size_t i = 0; i < ring.size(); ++i) {
                const auto& next = ring[(i + 1) % ring.size()];
                twice += ring[i][0] * next[1] - next[0] * ring[i][1];
            }
            if (twice < 0) std::reverse(ring.begin(), ring.end());
            ring.push_back(ring.front());
            json_.begin_object().text("type", "Polygon").key("coordinates").begin_array().begin_array();
            for (const auto& place : ring) position(place);
            json_.end_array().end_array().end_object();
        }
        json_.key("properties").begin_object().text("id", of.id).text("type", "area");
        if (of.valve != model::none)
            json_.text("valve", system_.point_id(system_.valves[at(of.valve)].point));
        end();
    }

    GeoWriter& of_;
    const model::System& system_;
    JsonWriter json_;
    CaseCells cells_;
    bool in_findings_ = false;
};

GeoWriter::GeoWriter(Output& output, const Speaker& speaker, const model::Layout& layout,
                     const model::WateringPlan& watering, std::string case_path)
    : output_(output),
      speaker_(speaker),
      layout_(layout),
      watering_(watering),
      case_path_(std::move(case_path)),
      plane_((*speaker.system.origin)[0], (*speaker.system.origin)[1]),
      every_run_(speaker.system.runs.size() * (speaker.system.points.size() + speaker.system.pipes.size() +
                                               speaker.system.devices.size()) <=
                 most_rows),
      heads_(speaker.system.heads.size()),
      valves_(speaker.system.valves.size()),
      devices_(speaker.system.devices.size()),
      pipes_(speaker.system.pipes.size()),
      supplies_(speaker.system.supplies.size()),
      points_(speaker.system.points.size()) {}

std::vector<std::string> GeoWriter::not_carried() const {
    const std::string& set = speaker_.system.rule_set;
    if (set.empty() || model::find_rule_set(set) != nullptr) return {};
    return {"the limits of the rule set in " + set};
}

void GeoWriter::note(const solver::Finding& finding, Index run) {
    const std::string of_run = run == model::none ? "" : " in run " + speaker_.system.runs[at(run)].id;
    Found& found = findings_[{static_cast<int>(finding.subject.kind), finding.subject.index}];
    if (found.words.size() < most_findings)
        found.words.push_back(std::string(rule_name(finding.rule)) + of_run);
    else
        ++found.more;
}

void GeoWriter::add(const solver::RunResult& result, const solver::RunFindings& findings) {
    const model::System& system = speaker_.system;
    if (result.failure) {
        failed_.push_back(result.run);
        return;
    }
    for (const solver::Finding& finding : findings.findings)
        if (finding.fails) note(finding, result.run);
    const auto put = [&](Rows& rows, const std::vector<double>& first, const std::vector<double>& second,
                         const std::vector<double>& third, std::size_t flow, bool every, bool largest) {
        // What no water flows through in a run has no row of it; points have where they have a pressure.
        double most = 0;
        const std::vector<double>* const columns[] = {&first, &second, &third};
        if (flow < 3)
            for (const double value : *columns[flow]) most = std::max(most, std::abs(value));
        for (std::size_t i = 0; i < rows.size(); ++i) {
            const double deciding = flow < 3 ? (*columns[flow])[i] : first[i];
            if (std::isnan(deciding) || (flow < 3 && !(std::abs(deciding) > 1e-9 * most))) continue;
            Row row{result.run, {}};
            for (std::size_t k = 0; k < 3; ++k) row.values[k] = columns[k]->empty() ? 0 : (*columns[k])[i];
            if (every || rows[i].empty())
                rows[i].push_back(row);
            else if (largest ? std::abs(row.values[0]) > std::abs(rows[i][0].values[0])
                             : row.values[0] < rows[i][0].values[0])
                rows[i][0] = row;
        }
    };
    const std::vector<double> nothing;
    put(heads_, result.head_pressure, result.head_flow, result.head_radius, 1, true, false);
    put(valves_, result.valve_flow, result.valve_inlet, result.valve_outlet, 0, true, true);
    put(devices_, result.device_flow, result.device_inlet, result.device_outlet, 0, every_run_, true);
    put(pipes_, result.pipe_flow, result.pipe_velocity, result.pipe_loss, 0, every_run_, true);
    std::vector<double> at_supplies;
    for (const model::Supply& supply : system.supplies)
        at_supplies.push_back(result.point_pressure[at(supply.point)]);
    put(supplies_, at_supplies, result.supply_flow, nothing, 3, every_run_, false);
    put(points_, result.point_pressure, nothing, nothing, 3, every_run_, false);
}

void GeoWriter::finish(const solver::CheckSummary& summary) {
    Features(*this).write(summary);
}

}  // namespace evenhead::io
