#include "solver/balance/result_writer.hpp"

#include <cmath>
#include <numbers>

#include "model/position.hpp"
#include "solver/laws/power_losses.hpp"

namespace evenhead::solver {
namespace {

// Straight between the rows of pressure and radius, held outside.
double throw_radius(const model::Nozzle& nozzle, double pressure) {
    if (nozzle.radius.empty()) return nowhere;
    if (nozzle.radius.size() == 1) return nozzle.radius.front().value;
    if (pressure <= nozzle.rows.front().at.value) return nozzle.radius.front().value;
    for (std::size_t i = 1; i < nozzle.rows.size(); ++i) {
        const double low = nozzle.rows[i - 1].at.value, high = nozzle.rows[i].at.value;
        if (pressure > high) continue;
        const double share = (pressure - low) / (high - low);
        return nozzle.radius[i - 1].value + share * (nozzle.radius[i].value - nozzle.radius[i - 1].value);
    }
    return nozzle.radius.back().value;
}

}  // namespace

void ResultWriter::write(const State& state, RunResult& out) const {
    clear(out);
    for (const int node : state.nodes) {
        const Index point = net_.point_of_node[at(node)];
        const model::PointKind kind = system_.points[at(point)].kind;
        if (kind == model::PointKind::device || kind == model::PointKind::valve) continue;
        if (net_.inlet_node[at(point)] != node) continue;
        out.concerned.points.push_back(point);
        out.point_pressure[at(point)] = pressure(node, state);
    }
    for (std::size_t s = 0; s < system_.supplies.size(); ++s) {
        out.supply_flow[s] = state.flow[s];
        out.supply_pressure[s] = pressure(net_.elements[s].head, state);
    }
    out.flow = 0;
    for (const int element : state.elements) write_element(element, state, out);
    write_losses(out);
}

// To what there is where no supply reaches.
void ResultWriter::clear(RunResult& out) const {
    RunResult::Rows& rows = out.concerned;
    const auto no_radius = [&](std::size_t head) {
        return system_.nozzles[at(system_.heads[head].nozzle)].radius.empty() ? nowhere : 0.0;
    };
    if (out.point_pressure.size() != system_.points.size()) {
        const std::size_t pipes = system_.pipes.size(), devices = system_.devices.size(),
                          valves = system_.valves.size(), heads = system_.heads.size();
        out.supply_flow.assign(system_.supplies.size(), 0.0);
        out.supply_pressure.assign(system_.supplies.size(), nowhere);
        out.point_pressure.assign(system_.points.size(), nowhere);
        for (auto* column : {&out.pipe_flow, &out.pipe_velocity, &out.pipe_loss}) column->assign(pipes, 0.0);
        out.device_flow.assign(devices, 0.0);
        for (auto* column : {&out.device_inlet, &out.device_outlet}) column->assign(devices, nowhere);
        out.device_holding.assign(devices, 0);
        out.valve_flow.assign(valves, 0.0);
        for (auto* column : {&out.valve_inlet, &out.valve_outlet}) column->assign(valves, nowhere);
        out.valve_holding.assign(valves, 0);
        out.head_flow.assign(heads, 0.0);
        out.head_pressure.assign(heads, nowhere);
        out.head_holding.assign(heads, 0);
        out.head_radius.clear();
        for (std::size_t head = 0; head < heads; ++head) out.head_radius.push_back(no_radius(head));
    } else {
        for (const Index i : rows.points) out.point_pressure[at(i)] = nowhere;
        for (const Index i : rows.pipes)
            out.pipe_flow[at(i)] = out.pipe_velocity[at(i)] = out.pipe_loss[at(i)] = 0;
        for (const Index i : rows.devices) {
            out.device_flow[at(i)] = 0;
            out.device_inlet[at(i)] = out.device_outlet[at(i)] = nowhere;
            out.device_holding[at(i)] = 0;
        }
        for (const Index i : rows.valves) {
            out.valve_flow[at(i)] = 0;
            out.valve_inlet[at(i)] = out.valve_outlet[at(i)] = nowhere;
            out.valve_holding[at(i)] = 0;
        }
        for (const Index i : rows.heads) {
            out.head_flow[at(i)] = 0;
            out.head_pressure[at(i)] = nowhere;
            out.head_radius[at(i)] = no_radius(at(i));
            out.head_holding[at(i)] = 0;
        }
    }
    for (auto* list : {&rows.points, &rows.pipes, &rows.devices, &rows.valves, &rows.heads}) list->clear();
}

void ResultWriter::write_element(int element, const State& state, RunResult& out) const {
    const std::size_t e = at(element);
    if (element < net_.first_pipe) return;
    if (element < net_.first_device) return write_pipe(e, state, out);
    if (element >= net_.first_head) return write_head(e, state, out);
    const bool device = element < net_.first_valve;
    const Index row = element - (device ? net_.first_device : net_.first_valve);
    const Element& of = net_.elements[e];
    (device ? out.concerned.devices : out.concerned.valves).push_back(row);
    (device ? out.device_flow : out.valve_flow)[at(row)] = state.flow[e];
    (device ? out.device_inlet : out.valve_inlet)[at(row)] = pressure(of.tail, state);
    (device ? out.device_outlet : out.valve_outlet)[at(row)] = pressure(of.head, state);
    const bool holding =
        of.regulates() && state.active[e] &&
        state.height[at(of.tail)] - of.law->losses(state.flow[e]).high > of.held_height + 1e-7 &&
        state.height[at(of.head)] > of.held_height - 1e-6;
    (device ? out.device_holding : out.valve_holding)[at(row)] = holding;
}

void ResultWriter::write_pipe(std::size_t element, const State& state, RunResult& out) const {
    const auto row = static_cast<Index>(element) - net_.first_pipe;
    const double q = state.flow[element], bore = system_.pipes[at(row)].size->bore.value;
    out.concerned.pipes.push_back(row);
    out.pipe_flow[at(row)] = q;
    out.pipe_velocity[at(row)] = std::abs(q) / (std::numbers::pi / 4 * bore * bore);
    if (std::isnan(net_.power_r[element])) {
        out.pipe_loss[at(row)] = net_.elements[element].law->loss(q) / net_.metres_per_pascal;
    }
}

// Power laws many at once, of pipes that stand side by side.
void ResultWriter::write_losses(RunResult& out) const {
    const std::vector<Index>& rows = out.concerned.pipes;
    const double* r = net_.power_r.data() + net_.first_pipe;
    const double* m = net_.power_m.data() + net_.first_pipe;
    const auto power = [&](std::size_t i) { return !std::isnan(r[at(rows[i])]); };
    for (std::size_t i = 0; i < rows.size();) {
        const std::size_t first = at(rows[i]), start = i++;
        if (!power(start)) continue;
        while (i < rows.size() && at(rows[i]) == first + (i - start) && power(i)) ++i;
        double* loss = out.pipe_loss.data() + first;
        power_losses(i - start, r + first, m + first, out.pipe_flow.data() + first, loss);
        for (std::size_t k = 0; k < i - start; ++k) loss[k] /= net_.metres_per_pascal;
    }
}

void ResultWriter::write_head(std::size_t element, const State& state, RunResult& out) const {
    const std::size_t row = element - at(net_.first_head);
    const Element& of = net_.elements[element];
    const HeadLaw& law = *net_.head_laws[row];
    const double D = state.height[at(of.tail)] - of.fixed_height, q = state.flow[element];
    const double nozzle = std::isnan(D) ? nowhere : law.nozzle_pressure(D, q) / net_.metres_per_pascal;
    const model::Nozzle& data = system_.nozzles[at(system_.heads[row].nozzle)];
    out.concerned.heads.push_back(static_cast<Index>(row));
    out.head_flow[row] = q;
    out.head_pressure[row] = nozzle;
    out.head_holding[row] = !std::isnan(D) && law.holding(D);
    out.head_radius[row] = q > 0 || data.radius.empty() ? throw_radius(data, nozzle) : 0.0;
    out.flow += q;
}

}  // namespace evenhead::solver
