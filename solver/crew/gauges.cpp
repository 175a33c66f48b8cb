#include "solver/crew/gauges.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/position.hpp"
#include "solver/balance/balance.hpp"
#include "solver/crew/ways_parts.hpp"
#include "solver/network/network.hpp"
#include "solver/rules/rules.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

using model::DeviceType;
using Where = GaugePlace::Where;

class Gauges {
  public:
    Gauges(const model::System& system, const model::Layout& layout, Commissioning& result)
        : system_(system), result_(result), from_supplies_(ways_from_supplies(system)) {
        std::vector<Index> points;
        for (const model::Device& device : system.devices)
            if (layout.point_on_mainline[at(device.point)] != 0) points.push_back(device.point);
        for (const Index point : nearest_first(points, from_supplies_))
            devices_.push_back(system.points[at(point)].row);
        for (const DeviceType type : {DeviceType::meter, DeviceType::flow_sensor}) {
            std::vector<Index>& list = type == DeviceType::meter ? meters_ : sensors_;
            for (std::size_t i = 0; i < system.devices.size(); ++i)
                if (system.devices[i].type == type) list.push_back(static_cast<Index>(i));
        }
        if (sensors_.empty()) sensors_ = meters_;
        order_.resize(system.valves.size());
        const auto pipes = pipes_by_zone(system, layout);
        for (std::size_t valve = 0; valve < order_.size(); ++valve) {
            const Ways ways = ways_along(system, pipes[valve], {system.valves[valve].point});
            std::vector<Index> heads;
            for (const Index head : layout.zone_heads[valve]) heads.push_back(system.heads[at(head)].point);
            order_[valve] = nearest_first(heads, ways);
        }
        std::vector<Index> heads;
        for (const Index head : layout.heads_on_mainline) heads.push_back(system.heads[at(head)].point);
        before_valves_ = nearest_first(heads, from_supplies_);
    }

    /// With every valve shut: up to the inlets of the valves.
    void shut(const RunResult& result) {
        before_valves(result, model::none);
        heads(result, model::none, before_valves_);
        for (std::size_t valve = 0; valve < system_.valves.size(); ++valve)
            if (system_.valves[valve].head == model::none)
                put(model::none, system_.valves[valve].point, Where::inlet, result.valve_inlet[valve]);
    }

    void run(const RunResult& result) {
        before_valves(result, result.run);
        heads(result, model::none, before_valves_);
        for (const Index valve : result.open) {
            const Index point = system_.valves[at(valve)].point;
            // No gauge fits between a valve in a head and its body.
            if (system_.valves[at(valve)].head == model::none) {
                put(result.run, point, Where::inlet, result.valve_inlet[at(valve)]);
                put(result.run, point, Where::outlet, result.valve_outlet[at(valve)]);
            }
            heads(result, valve, order_[at(valve)]);
        }
        flows(result, result.run);
    }

    void flows(const RunResult& result, Index run) {
        for (const auto& [devices, list] :
             {std::pair{&meters_, &result_.flows}, std::pair{&sensors_, &result_.sensed}}) {
            for (const Index device : *devices)
                list->push_back(metered(result, run, device, std::abs(result.device_flow[at(device)])));
            if (!devices->empty()) continue;
            double flow = 0;
            for (const double one : result.supply_flow) flow += std::isnan(one) ? 0 : one;
            list->push_back(metered(result, run, model::none, flow));
        }
    }

  private:
    void put(Index run, Index point, Where where, double pressure, Index valve = model::none) {
        if (std::isnan(pressure)) return;
        result_.gauges.push_back({run, point, where, valve, false, false, false, pressure});
    }

    void before_valves(const RunResult& result, Index run) {
        for (std::size_t i = 0; i < system_.supplies.size(); ++i)
            put(run, system_.supplies[i].point, Where::supply,
                result.point_pressure[at(system_.supplies[i].point)]);
        for (const Index device : devices_) {
            put(run, system_.devices[at(device)].point, Where::inlet, result.device_inlet[at(device)]);
            put(run, system_.devices[at(device)].point, Where::outlet, result.device_outlet[at(device)]);
        }
    }

    /// First, last and critical head of a zone, in the order of the water's way.
    void heads(const RunResult& result, Index valve, const std::vector<Index>& order) {
        Index critical = model::none;
        double least = std::numeric_limits<double>::infinity();
        for (const Index point : order) {
            const Index head = system_.points[at(point)].row;
            const auto wanted = wanted_pressure(system_, head);
            const double margin = result.head_pressure[at(head)] - wanted.value_or(0);
            if (!wanted || !(margin < least)) continue;
            least = margin;
            critical = point;
        }
        for (std::size_t i = 0; i < order.size(); ++i) {
            const bool first = i == 0, last = i + 1 == order.size(), worst = order[i] == critical;
            if (!first && !last && !worst) continue;
            const Index head = system_.points[at(order[i])].row;
            for (const auto& [where, pressure] :
                 {std::pair{Where::riser, result.point_pressure[at(order[i])]},
                  std::pair{Where::nozzle, result.head_pressure[at(head)]}}) {
                const bool inside = where == Where::riser && system_.heads[at(head)].valve != model::none;
                if (std::isnan(pressure) || inside) continue;
                put(result.run, order[i], where, pressure, valve);
                GaugePlace& place = result_.gauges.back();
                place.first = first;
                place.last = last;
                place.critical = worst;
            }
        }
    }

    static MeteredFlow metered(const RunResult& result, Index run, Index device, double flow) {
        MeteredFlow of{run, device, std::isnan(flow) ? 0 : flow, 0, 0};
        if (!(of.flow > 0)) return of;
        double smallest = std::numeric_limits<double>::infinity();
        for (const double head : result.head_flow) {
            if (!(head > 1e-9 * of.flow)) continue;
            of.largest_head = std::max(of.largest_head, head / of.flow);
            smallest = std::min(smallest, head / of.flow);
        }
        if (std::isfinite(smallest)) of.smallest_head = smallest;
        return of;
    }

    const model::System& system_;
    Commissioning& result_;
    Ways from_supplies_;
    std::vector<Index> devices_, meters_, sensors_;  ///< of the mainline, the nearest to a supply first; all
    std::vector<std::vector<Index>> order_;          ///< by valve: points of its heads, the nearest first
    std::vector<Index> before_valves_;               ///< likewise of the heads before any valve
};

}  // namespace

Commissioning commissioning(const model::System& system, const model::Layout& layout, int threads) {
    Commissioning result;
    Gauges gauges(system, layout, result);
    const Network network = build_network(system, layout);
    const Prepared prepared = prepare(network);
    RunResult shut;  // every valve; heads before any valve still run
    Balancer(system, network, prepared).balance(model::none, {}, shut);
    result.shut_failed = shut.failure.has_value();
    if (!result.shut_failed) {
        gauges.shut(shut);
        gauges.flows(shut, model::none);
    }
    CheckOptions options;
    options.threads = threads;
    check_runs(system, layout, options, [&](const RunResult& run, const RunFindings&) {
        if (run.failure)
            result.failed.push_back(run.run);
        else
            gauges.run(run);
    });
    return result;
}

FlowLimits flow_limits(const Commissioning& of, const model::CrewTable& table) {
    FlowLimits limits;
    double least = std::numeric_limits<double>::infinity();
    for (const MeteredFlow& flow : of.sensed) {
        if (flow.run == model::none) {
            limits.standing = std::max(limits.standing, flow.flow);
            continue;
        }
        if (!(flow.flow > 0)) continue;
        least = std::min(least, flow.flow);
        FlowLimit limit;
        limit.expected = flow;
        limit.low = table.low.share * flow.flow;
        limit.high = table.high.share * flow.flow;
        limit.tells_a_head = flow.smallest_head > 1 - table.low.share;
        limits.runs.push_back(limit);
    }
    limits.leak = std::isfinite(least) ? limits.standing + table.leak.share * least
                                       : std::numeric_limits<double>::quiet_NaN();
    return limits;
}

}  // namespace evenhead::solver
