#include "solver/diagnosis/survey.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

using model::PointKind;

double flow_at(const model::System& system, const RunResult& result, Index point) {
    const model::Point& of = system.points[at(point)];
    switch (of.kind) {
        case PointKind::device:
            return std::abs(result.device_flow[at(of.row)]);
        case PointKind::valve:
            return std::abs(result.valve_flow[at(of.row)]);
        case PointKind::head:
            return result.head_flow[at(of.row)];
        case PointKind::supply:
            return result.supply_flow[at(of.row)];
        case PointKind::plain:
            break;
    }
    // What passes: half of what the pipes there bring and take.
    double sum = 0;
    for (std::size_t pipe = 0; pipe < system.pipes.size(); ++pipe)
        if (system.pipes[pipe].from == point || system.pipes[pipe].to == point)
            sum += std::abs(result.pipe_flow[pipe]) / 2;
    return sum;
}

double pressure_at(const model::System& system, const RunResult& result, const Gauge& gauge) {
    const model::Point& of = system.points[at(gauge.point)];
    const bool inlet = gauge.side == model::Side::inlet;
    switch (of.kind) {
        case PointKind::device:
            return (inlet ? result.device_inlet : result.device_outlet)[at(of.row)];
        case PointKind::valve:
            return (inlet ? result.valve_inlet : result.valve_outlet)[at(of.row)];
        case PointKind::supply:
            return result.supply_pressure[at(of.row)];
        case PointKind::plain:
            return result.point_pressure[at(gauge.point)];
        case PointKind::head:
            break;
    }
    const model::Head& head = system.heads[at(of.row)];
    if (gauge.way == model::Gauge::pitot) return result.head_pressure[at(of.row)];
    return head.valve == model::none ? result.point_pressure[at(gauge.point)]
                                     : result.valve_outlet[at(head.valve)];
}

}  // namespace

Survey make_survey(const model::System& whole, const model::Layout& layout, std::vector<Situation> situations,
                   std::vector<Gauge> gauges, std::size_t readings, std::vector<Index> zones) {
    Survey survey;
    survey.whole = &whole;
    survey.whole_layout = &layout;
    survey.part = model::part_of(whole, layout, zones);
    survey.layout = model::find_layout(survey.part.system);
    survey.situations = std::move(situations);
    survey.gauges = std::move(gauges);
    for (Gauge& gauge : survey.gauges)
        if (gauge.point != model::none) gauge.point = survey.part.point_of[at(gauge.point)];
    survey.readings = readings;
    survey.zones = std::move(zones);
    return survey;
}

Survey with_zone(const Survey& survey, Index valve) {
    std::vector<Gauge> gauges = survey.gauges;
    for (Gauge& gauge : gauges)
        if (gauge.point != model::none) gauge.point = survey.part.point[at(gauge.point)];
    std::vector<Index> zones = survey.zones;
    if (std::find(zones.begin(), zones.end(), valve) == zones.end()) zones.push_back(valve);
    std::sort(zones.begin(), zones.end());
    Survey wider = make_survey(*survey.whole, *survey.whole_layout, survey.situations, std::move(gauges),
                               survey.readings, std::move(zones));
    wider.read_zones = survey.read_zones;
    return wider;
}

double shown(const model::System& system, const RunResult& result, const Gauge& gauge) {
    if (gauge.point == model::none) return std::numeric_limits<double>::quiet_NaN();  // not in this part
    const double value =
        gauge.flow ? flow_at(system, result, gauge.point) : pressure_at(system, result, gauge);
    if (!std::isnan(value)) return std::max(value, 0.0);  // a gauge shows no suction
    // With a zone running, what no water reaches is dry; with all shut, water may stand there under any
    // pressure.
    return result.run == model::none && !gauge.flow ? std::numeric_limits<double>::quiet_NaN() : 0;
}

}  // namespace evenhead::solver
