#include "io/write/result_rows.hpp"
#include "model/position.hpp"

#include <algorithm>
#include <cmath>

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::ElementKind;

/// The element of a vector of results, NaN where it is missing (a failed run).
double in(const std::vector<double>& values, Index index) {
    return index != model::none && at(index) < values.size() ? values[at(index)] : std::nan("");
}

std::vector<Index> positions(std::size_t count) {
    std::vector<Index> all(count);
    for (std::size_t i = 0; i < count; ++i) all[i] = static_cast<Index>(i);
    return all;
}

std::vector<Index> above(const std::vector<double>& flows, double threshold) {
    std::vector<Index> found;
    for (std::size_t i = 0; i < flows.size(); ++i)
        if (std::abs(flows[i]) > threshold) found.push_back(static_cast<Index>(i));
    return found;
}

/// Values of one row, converted on the way.
struct Row {
    RowSink& sink;
    const Speaker& speaker;
    void number(std::string_view key, double si, Dimension dimension) const {
        sink.number(key, speaker.units.in_unit(si, dimension));
    }
};

}  // namespace

ListedRows listed_rows(const model::System& system, const solver::RunResult& result, Detail detail) {
    ListedRows rows;
    if (detail == Detail::summary || result.failure) return rows;
    // Devices and valves have two pressures and rows of their own.
    const auto has_one_pressure = [&](Index point) {
        const model::PointKind kind = system.points[at(point)].kind;
        return kind != model::PointKind::device && kind != model::PointKind::valve;
    };
    std::vector<char> wet(system.points.size(), detail == Detail::all ? 1 : 0);
    if (detail == Detail::all) {
        rows.heads = positions(system.heads.size());
        rows.pipes = positions(system.pipes.size());
        rows.devices = positions(system.devices.size());
        rows.valves = positions(system.valves.size());
    } else {
        // The closure lets a point be out of balance by 1e-9 of its largest flow + 1e-9 gpm: less than that
        // is no flow.
        double largest = 0;
        for (const auto* flows : {&result.supply_flow, &result.pipe_flow})
            for (const double flow : *flows) largest = std::max(largest, std::abs(flow));
        const double threshold = 1e-9 * largest + 1e-9 * 6.30902e-5;
        rows.heads = above(result.head_flow, threshold);
        rows.pipes = above(result.pipe_flow, threshold);
        rows.devices = above(result.device_flow, threshold);
        rows.valves = above(result.valve_flow, threshold);
        for (const Index pipe : rows.pipes) {
            wet[at(system.pipes[at(pipe)].from)] = 1;
            wet[at(system.pipes[at(pipe)].to)] = 1;
        }
    }
    for (std::size_t point = 0; point < wet.size(); ++point)
        if (wet[point] != 0 && has_one_pressure(static_cast<Index>(point)))
            rows.points.push_back(static_cast<Index>(point));
    return rows;
}

void run_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result,
             const solver::RunFindings& findings) {
    const Row row{sink, speaker};
    sink.text("id", speaker.system.runs[at(result.run)].id);
    std::vector<std::string> open;
    for (const Index valve : result.open)
        open.push_back(element_id(speaker.system, {ElementKind::valve, valve}));
    sink.ids("open", open);
    const bool failed = result.failure.has_value();
    const auto head_id = [&](Index head) {
        return failed ? std::string() : element_id(speaker.system, {ElementKind::head, head});
    };
    const auto pipe_id = [&](Index pipe) {
        return failed ? std::string() : element_id(speaker.system, {ElementKind::pipe, pipe});
    };
    row.number("flow", failed ? std::nan("") : result.flow, Dimension::flow);
    sink.text("critical_head", head_id(findings.critical_head));
    row.number("critical_margin",
               failed || findings.critical_head == model::none ? std::nan("") : findings.critical_margin,
               Dimension::pressure);
    sink.text("lowest_head", head_id(findings.lowest_head));
    row.number("lowest_pressure", in(result.head_pressure, findings.lowest_head), Dimension::pressure);
    sink.text("highest_head", head_id(findings.highest_head));
    row.number("highest_pressure", in(result.head_pressure, findings.highest_head), Dimension::pressure);
    row.number("spread", failed ? std::nan("") : findings.spread, Dimension::share);
    sink.text("top_velocity_pipe", pipe_id(findings.top_velocity_pipe));
    row.number("top_velocity", in(result.pipe_velocity, findings.top_velocity_pipe), Dimension::velocity);
    sink.text("top_surge_pipe", pipe_id(findings.top_surge_pipe));
    sink.text(
        "top_surge_valve",
        failed ? std::string() : element_id(speaker.system, {ElementKind::valve, findings.top_surge_valve}));
    row.number("top_surge", in(findings.surge, findings.top_surge_pipe), Dimension::pressure);
}

void supply_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result, Index supply) {
    const Row row{sink, speaker};
    sink.text("id", element_id(speaker.system, {ElementKind::supply, supply}));
    row.number("flow", in(result.supply_flow, supply), Dimension::flow);
    row.number("pressure", in(result.supply_pressure, supply), Dimension::pressure);
}

void head_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result, Index head) {
    const Row row{sink, speaker};
    sink.text("id", element_id(speaker.system, {ElementKind::head, head}));
    row.number("pressure", in(result.head_pressure, head), Dimension::pressure);
    row.number("flow", in(result.head_flow, head), Dimension::flow);
    row.number("radius", in(result.head_radius, head), Dimension::length);
}

void point_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result, Index point) {
    const Row row{sink, speaker};
    sink.text("id", speaker.system.point_id(point));
    row.number("pressure", in(result.point_pressure, point), Dimension::pressure);
}

void pipe_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result,
              const solver::RunFindings& findings, Index pipe) {
    const Row row{sink, speaker};
    const model::Pipe& of = speaker.system.pipes[at(pipe)];
    sink.text("id", speaker.system.pipe_id(of));
    sink.text("from", speaker.system.point_id(of.from));
    sink.text("to", speaker.system.point_id(of.to));
    row.number("flow", in(result.pipe_flow, pipe), Dimension::flow);
    row.number("velocity", in(result.pipe_velocity, pipe), Dimension::velocity);
    row.number("loss", in(result.pipe_loss, pipe), Dimension::pressure);
    row.number("surge", in(findings.surge, pipe), Dimension::pressure);
}

void device_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result, Index device) {
    const Row row{sink, speaker};
    sink.text("id", element_id(speaker.system, {ElementKind::device, device}));
    row.number("flow", in(result.device_flow, device), Dimension::flow);
    row.number("inlet", in(result.device_inlet, device), Dimension::pressure);
    row.number("outlet", in(result.device_outlet, device), Dimension::pressure);
}

void valve_row(RowSink& sink, const Speaker& speaker, const solver::RunResult& result, Index valve) {
    const Row row{sink, speaker};
    sink.text("id", element_id(speaker.system, {ElementKind::valve, valve}));
    row.number("flow", in(result.valve_flow, valve), Dimension::flow);
    row.number("inlet", in(result.valve_inlet, valve), Dimension::pressure);
    row.number("outlet", in(result.valve_outlet, valve), Dimension::pressure);
}

void finding_row(RowSink& sink, const Speaker& speaker, const solver::Finding& finding,
                 std::string_view sentence) {
    const Row row{sink, speaker};
    sink.text("rule", rule_name(finding.rule));
    sink.text("subject", element_id(speaker.system, finding.subject));
    row.number("value", finding.value, finding.dimension);
    row.number("limit", finding.limit, finding.dimension);
    sink.text("unit", finding_unit(speaker, finding));
    if (finding.dimension == Dimension::temperature)  // a difference of temperatures, not a temperature
        sink.number("margin", std::copysign(speaker.units.in_unit(finding.limit, finding.dimension) -
                                                speaker.units.in_unit(finding.value, finding.dimension),
                                            finding.margin));
    else
        row.number("margin", finding.margin, finding.dimension);
    sink.boolean("fails", finding.fails);
    sink.text("source", finding.source);
    sink.text("text", sentence);
    sink.text("try", finding_remedy(speaker, finding));
}

void worksheet_row(RowSink& sink, const Speaker& speaker, const solver::WorksheetLine& line) {
    const Row row{sink, speaker};
    sink.text("item", line.item);
    sink.text("subject", element_id(speaker.system, line.subject));
    row.number("flow", line.flow, Dimension::flow);
    row.number("bore", line.bore, Dimension::bore);
    row.number("length", line.length, Dimension::length);
    row.number("velocity", line.velocity, Dimension::velocity);
    row.number("change", line.change, Dimension::pressure);
    row.number("pressure", line.pressure, Dimension::pressure);
}

}  // namespace evenhead::io
