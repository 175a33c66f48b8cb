#include "solver/balance/result_writer.hpp"

#include <cmath>
#include <numbers>
#include <utility>

#include "model/position.hpp"
#include "solver/laws/loss_batch.hpp"

namespace evenhead::solver {

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

ResultWriter::ResultWriter(const model::System& system, const Network& network)
    : system_(system), net_(network), pascals_per_metre_(1 / network.metres_per_pascal) {
    over_area_.reserve(system.pipes.size());
    for (const model::Pipe& pipe : system.pipes) {
        const double bore = pipe.size->bore.value;
        over_area_.push_back(1 / (std::numbers::pi / 4 * bore * bore));
    }
    for (const model::Point& point : system.points)
        two_sided_.push_back(point.kind == model::PointKind::device || point.kind == model::PointKind::valve);
}

void ResultWriter::write(const State& state, RunResult& out) const {
    if (out.point_pressure.size() != system_.points.size()) make_room(out);
    const RunResult::Rows before = std::exchange(out.concerned, {});
    find_rows(state, out.concerned);
    clear(before, out);

    Extremes extremes;
    for_each(out.concerned.points, [&](Index point) {
        if (two_sided_[at(point)]) return;
        const double value = pressure(net_.inlet_node[at(point)], state);
        out.point_pressure[at(point)] = value;
        extremes.note(value);
    });
    for (std::size_t s = 0; s < system_.supplies.size(); ++s) {
        out.supply_flow[s] = state.flow[s];
        out.supply_pressure[s] = pressure(net_.elements[s].head, state);
    }
    write_pipes(state, out);
    write_two_sided(state, true, out, extremes);
    write_two_sided(state, false, out, extremes);
    out.lowest_pressure = extremes.lowest;
    out.highest_pressure = extremes.highest;
    out.flow = 0;
    for_each(out.concerned.heads, [&](Index head) { write_head(at(head), state, out); });
}

void ResultWriter::write_flows(const State& state, RunResult& out) const {
    out.pipe_flow.resize(system_.pipes.size(), 0.0);
    const Spans before = std::exchange(out.concerned.pipes, {});
    cut(state.elements, net_.first_pipe, net_.first_device, out.concerned.pipes);
    for_each_without(before, out.concerned.pipes, [&](Index pipe) { out.pipe_flow[at(pipe)] = 0; });
    for_each(out.concerned.pipes,
             [&](Index pipe) { out.pipe_flow[at(pipe)] = state.flow[at(net_.first_pipe + pipe)]; });
}

double ResultWriter::no_radius(std::size_t head) const {
    return system_.nozzles[at(system_.heads[head].nozzle)].radius.empty() ? nowhere : 0.0;
}

// For all rows, as where no supply reaches.
void ResultWriter::make_room(RunResult& out) const {
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
    out.concerned = {};
}

void ResultWriter::find_rows(const State& state, RunResult::Rows& rows) const {
    // Nodes stand in the order of their points, a point's two beside each other.
    for (const Span& nodes : state.nodes) {
        const Index first = net_.point_of_node[at(nodes.first)],
                    last = net_.point_of_node[at(nodes.last - 1)] + 1;
        if (!rows.points.empty() && rows.points.back().last >= first) {
            rows.points.back().last = last;
        } else {
            rows.points.push_back({first, last});
        }
    }
    const int all = static_cast<int>(net_.elements.size());
    cut(state.elements, net_.first_pipe, net_.first_device, rows.pipes);
    cut(state.elements, net_.first_device, net_.first_valve, rows.devices);
    cut(state.elements, net_.first_valve, net_.first_head, rows.valves);
    cut(state.elements, net_.first_head, all, rows.heads);
}

// What the run before concerned and this one does not.
void ResultWriter::clear(const RunResult::Rows& before, RunResult& out) const {
    const RunResult::Rows& now = out.concerned;
    for_each_without(before.points, now.points, [&](Index i) { out.point_pressure[at(i)] = nowhere; });
    for_each_without(before.pipes, now.pipes, [&](Index i) {
        out.pipe_flow[at(i)] = out.pipe_velocity[at(i)] = out.pipe_loss[at(i)] = 0;
    });
    for_each_without(before.devices, now.devices, [&](Index i) {
        out.device_flow[at(i)] = 0;
        out.device_inlet[at(i)] = out.device_outlet[at(i)] = nowhere;
        out.device_holding[at(i)] = 0;
    });
    for_each_without(before.valves, now.valves, [&](Index i) {
        out.valve_flow[at(i)] = 0;
        out.valve_inlet[at(i)] = out.valve_outlet[at(i)] = nowhere;
        out.valve_holding[at(i)] = 0;
    });
    for_each_without(before.heads, now.heads, [&](Index i) {
        out.head_flow[at(i)] = 0;
        out.head_pressure[at(i)] = nowhere;
        out.head_radius[at(i)] = no_radius(at(i));
        out.head_holding[at(i)] = 0;
    });
}

void ResultWriter::write_pipes(const State& state, RunResult& out) const {
    LossBatch losses([&](int row, double loss) { out.pipe_loss[at(row)] = loss * pascals_per_metre_; });
    const double* flow = state.flow.data() + net_.first_pipe;
    for (const Span& span : out.concerned.pipes) {
        for (Index row = span.first; row < span.last; ++row) {
            const double q = flow[row] == 0 ? 0.0 : flow[row];  // not -0
            const std::size_t element = at(row + net_.first_pipe);
            if (q == 0 && out.pipe_flow[at(row)] == 0) continue;  // as it was
            out.pipe_flow[at(row)] = q;
            out.pipe_velocity[at(row)] = std::abs(q) * over_area_[at(row)];
            if (q == 0) {
                out.pipe_loss[at(row)] = 0;
            } else if (std::isnan(net_.power_r[element])) {
                out.pipe_loss[at(row)] = net_.elements[element].law->loss(q) * pascals_per_metre_;
            } else {
                losses.add(row, net_.power_r[element], net_.power_m[element], q);
            }
        }
    }
    losses.flush();
}

// Devices or valves.
void ResultWriter::write_two_sided(const State& state, bool devices, RunResult& out,
                                   Extremes& extremes) const {
    const int first = devices ? net_.first_device : net_.first_valve;
    auto& flow = devices ? out.device_flow : out.valve_flow;
    auto& inlet = devices ? out.device_inlet : out.valve_inlet;
    auto& outlet = devices ? out.device_outlet : out.valve_outlet;
    auto& held = devices ? out.device_holding : out.valve_holding;
    for_each(devices ? out.concerned.devices : out.concerned.valves, [&](Index row) {
        const std::size_t e = at(first + row);
        flow[at(row)] = state.flow[e];
        inlet[at(row)] = pressure(net_.ends[e].tail, state);
        outlet[at(row)] = pressure(net_.ends[e].head, state);
        extremes.note(inlet[at(row)]);
        extremes.note(outlet[at(row)]);
        if (!state.active[e]) {
            held[at(row)] = 0;
            return;
        }
        const Element& of = net_.elements[e];
        if (!of.regulates()) return;
        held[at(row)] =
            state.height[at(of.tail)] - of.law->losses(state.flow[e]).high > of.held_height + 1e-7 &&
            state.height[at(of.head)] > of.held_height - 1e-6;
    });
}

void ResultWriter::write_head(std::size_t row, const State& state, RunResult& out) const {
    const std::size_t element = at(net_.first_head) + row;
    const Element& of = net_.elements[element];
    const HeadLaw& law = *net_.head_laws[row];
    const double D = state.height[at(of.tail)] - of.fixed_height, q = state.flow[element];
    const double nozzle = std::isnan(D) ? nowhere : law.nozzle_pressure(D, q) * pascals_per_metre_;
    const model::Nozzle& data = system_.nozzles[at(system_.heads[row].nozzle)];
    out.head_flow[row] = q;
    out.head_pressure[row] = nozzle;
    out.head_holding[row] = !std::isnan(D) && law.holding(D);
    out.head_radius[row] = q > 0 || data.radius.empty() ? throw_radius(data, nozzle) : 0.0;
    out.flow += q;
}

}  // namespace evenhead::solver
