#include "solver/balance/balance.hpp"
#include "model/position.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

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

class Writer {
  public:
    Writer(const model::System& system, const Network& network, const State& state, RunResult& result)
        : system_(system), net_(network), state_(state), out_(result) {}

    void write() {
        for (std::size_t i = 0; i < system_.supplies.size(); ++i) {
            const Element& element = net_.elements[i];
            out_.supply_flow.push_back(state_.flow[i]);
            out_.supply_pressure.push_back(pressure(element.head));
        }
        for (std::size_t i = 0; i < system_.points.size(); ++i) {
            const model::PointKind kind = system_.points[i].kind;
            const bool two_sides = kind == model::PointKind::device || kind == model::PointKind::valve;
            out_.point_pressure.push_back(two_sides ? nowhere : pressure(net_.inlet_node[i]));
        }
        for (std::size_t i = 0; i < system_.pipes.size(); ++i) {
            const std::size_t e = at(net_.first_pipe) + i;
            const double q = state_.flow[e], bore = system_.pipes[i].size->bore.value;
            out_.pipe_flow.push_back(q);
            out_.pipe_velocity.push_back(std::abs(q) / (std::numbers::pi / 4 * bore * bore));
            out_.pipe_loss.push_back(net_.elements[e].law->loss(q) / net_.metres_per_pascal);
        }
        through(system_.devices.size(), net_.first_device, out_.device_flow, out_.device_inlet,
                out_.device_outlet, out_.device_holding);
        through(system_.valves.size(), net_.first_valve, out_.valve_flow, out_.valve_inlet, out_.valve_outlet,
                out_.valve_holding);
        write_heads();
    }

  private:
    double pressure(int node) const {
        return (state_.height[at(node)] - net_.node_elevation[at(node)]) / net_.metres_per_pascal;
    }

    void through(std::size_t count, int first, std::vector<double>& flow, std::vector<double>& inlet,
                 std::vector<double>& outlet, std::vector<char>& holding) {
        for (std::size_t i = 0; i < count; ++i) {
            const std::size_t e = at(first) + i;
            const Element& element = net_.elements[e];
            flow.push_back(state_.flow[e]);
            inlet.push_back(pressure(element.tail));
            outlet.push_back(pressure(element.head));
            const double lost = element.law->losses(state_.flow[e]).high;
            holding.push_back(element.regulates() && state_.active[e] &&
                              state_.height[at(element.tail)] - lost > element.held_height + 1e-7 &&
                              state_.height[at(element.head)] > element.held_height - 1e-6);
        }
    }

    void write_heads() {
        for (std::size_t i = 0; i < system_.heads.size(); ++i) {
            const std::size_t e = at(net_.first_head) + i;
            const Element& element = net_.elements[e];
            const HeadLaw& law = *net_.head_laws[i];
            const double D = state_.height[at(element.tail)] - element.fixed_height, q = state_.flow[e];
            const double nozzle =
                std::isnan(D) ? nowhere : law.nozzle_pressure(D, q) / net_.metres_per_pascal;
            out_.head_flow.push_back(q);
            out_.head_pressure.push_back(nozzle);
            out_.head_holding.push_back(!std::isnan(D) && law.holding(D));
            const model::Nozzle& data = system_.nozzles[at(system_.heads[i].nozzle)];
            out_.head_radius.push_back(q > 0 || data.radius.empty() ? throw_radius(data, nozzle) : 0.0);
            out_.flow += q;
        }
    }

    const model::System& system_;
    const Network& net_;
    const State& state_;
    RunResult& out_;
};

Failure open_closure(const Closure& closure) {
    ElementRef where;
    static constexpr std::pair<const char*, ElementKind> kinds[] = {{"pipe", ElementKind::pipe},
                                                                    {"device", ElementKind::device},
                                                                    {"valve", ElementKind::valve},
                                                                    {"head", ElementKind::head},
                                                                    {"supply", ElementKind::supply}};
    for (const auto& [word, kind] : kinds) {
        if (closure.worst_element == word) where = {kind, closure.worst_index};
    }
    return not_converged("Pressures and flows were found, but they do not close within the limits.", where,
                         closure.pressure, mismatch_limit);
}

}  // namespace

RunResult balance_run(const model::System& system, const Network& network, Index run,
                      const std::vector<Index>& open_valves, bool record_steps) {
    RunResult result;
    result.run = run;
    result.open = open_valves;
    State state = reach(network, open_elements(network, open_valves));
    SolveReport report = solve_state(network, state, record_steps);
    result.steps = std::move(report.steps);
    if (!report.failure) {
        spread_still_heights(network, state);
        result.closure = check_closure(network, state);
    }
    result.closure.steps = report.solves;
    if (report.failure) {
        result.failure = std::move(report.failure);
    } else if (!result.closure.solved) {
        result.failure = open_closure(result.closure);
    }
    Writer(system, network, state, result).write();
    return result;
}

RunResult balance_shut(const model::System& system, const Network& network) {
    RunResult result;
    std::vector<char> open = open_elements(network, {});
    for (std::size_t e = at(network.first_head); e < open.size(); ++e) open[e] = 0;
    State state = reach(network, open);
    spread_still_heights(network, state);
    result.closure = check_closure(network, state);
    Writer(system, network, state, result).write();
    return result;
}

}  // namespace evenhead::solver
