// The way of the water is sought backwards, from the nozzle to a supply: at each node the element that brings
// the most is tried first, and given up again where it leads nowhere (a pump may drive water round a ring).
// Where nothing flows, as to a head too high for its pressure, any open element that stands in balance will
// do.
//
// A line's change is what lies between two pressures of the balance, so that the lines add up to the nozzle's
// pressure whatever their number. A pipe parts its change in three: with loss p (friction and minor loss) of
// a pipe lengthened by the share f for fittings, and m of its minor loss coefficient,
//
//     friction b = (p - m) / (1 + f)     fittings f b + m     elevation: the rest
#include "solver/worksheet/worksheet.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>

#include "model/position.hpp"
#include "solver/laws/law.hpp"
#include "solver/network/network.hpp"
#include "solver/rules/rules.hpp"

namespace evenhead::solver {
namespace {

constexpr double absent = std::numeric_limits<double>::quiet_NaN();

const char* item_of(model::DeviceType type) {
    switch (type) {
        case model::DeviceType::meter:
            return "meter";
        case model::DeviceType::backflow:
            return "backflow";
        case model::DeviceType::filter:
            return "filter";
        case model::DeviceType::regulator:
            return "regulator";
        case model::DeviceType::check:
            return "check";
        case model::DeviceType::gate:
            return "gate";
        case model::DeviceType::pump:
            return "pump";
        case model::DeviceType::master:
            return "master";
        case model::DeviceType::flow_sensor:
        case model::DeviceType::quick_coupler:
        case model::DeviceType::other:
            break;
    }
    return "other";
}

/// The balanced run on the nodes and elements of its network.
class Balanced {
  public:
    Balanced(const model::System& system, const Network& network, const RunResult& result)
        : net_(network), result_(result), pressure_(network.node_elevation.size(), absent) {
        for (std::size_t i = 0; i < system.points.size(); ++i)
            pressure_[at(net_.inlet_node[i])] = result.point_pressure[i];
        const auto put = [&](Index point, double inlet, double outlet) {
            pressure_[at(net_.inlet_node[at(point)])] = inlet;
            pressure_[at(net_.outlet_node[at(point)])] = outlet;
        };
        for (std::size_t i = 0; i < system.devices.size(); ++i)
            put(system.devices[i].point, result.device_inlet[i], result.device_outlet[i]);
        for (std::size_t i = 0; i < system.valves.size(); ++i)
            put(system.valves[i].point, result.valve_inlet[i], result.valve_outlet[i]);
    }

    double pressure(int node) const { return pressure_[at(node)]; }

    double flow(const Element& element) const {
        const std::size_t i = at(element.ref.index);
        switch (element.ref.kind) {
            case ElementKind::supply:
                return result_.supply_flow[i];
            case ElementKind::pipe:
                return result_.pipe_flow[i];
            case ElementKind::device:
                return result_.device_flow[i];
            case ElementKind::valve:
                return result_.valve_flow[i];
            case ElementKind::head:
                return result_.head_flow[i];
            case ElementKind::point:
            case ElementKind::run:
                break;
        }
        return 0;
    }

    /// Water could come through although none does: open, and not held shut against its direction.
    bool open(const Element& element, int downstream) const {
        if (element.closed) return false;
        if (element.ref.kind == ElementKind::valve &&
            std::find(result_.open.begin(), result_.open.end(), element.ref.index) == result_.open.end())
            return false;
        if (element.ref.kind == ElementKind::supply) return true;
        if (std::isnan(pressure(element.tail)) || std::isnan(pressure(element.head))) return false;
        if (!element.one_way) return true;
        constexpr double rounding = 1e-6;  // m
        return element.head == downstream &&
               height(element.tail) - height(element.head) >= element.law->losses(0).high - rounding;
    }

  private:
    double height(int node) const {
        return pressure_[at(node)] * net_.metres_per_pascal + net_.node_elevation[at(node)];
    }

    const Network& net_;
    const RunResult& result_;
    std::vector<double> pressure_;  // by node, Pa
};

/// One element on the way, from its upstream to its downstream node (a supply: no upstream node).
struct Leg {
    const Element* element;
    int upstream, downstream;
};

/// The elements that may bring water to a node, those that bring most first.
std::vector<Leg> legs_into(const Network& net, const Balanced& run, int node, double no_flow) {
    struct Inflow {
        Leg leg;
        double flow;
    };
    std::vector<Inflow> inflows;
    for (int i = net.link_start[at(node)]; i < net.link_start[at(node) + 1]; ++i) {
        const Element& element = net.elements[at(net.links[at(i)])];
        if (element.ref.kind == ElementKind::head) continue;
        const bool arrives = element.head == node;
        const double flow = arrives ? run.flow(element) : -run.flow(element);
        if (flow < -no_flow || (flow <= no_flow && !run.open(element, node))) continue;
        inflows.push_back({{&element, arrives ? element.tail : element.head, node}, flow});
    }
    std::stable_sort(inflows.begin(), inflows.end(),
                     [](const Inflow& one, const Inflow& other) { return one.flow > other.flow; });
    std::vector<Leg> legs;
    legs.reserve(inflows.size());
    for (const Inflow& inflow : inflows) legs.push_back(inflow.leg);
    return legs;
}

/// The way from a supply to `target`, supply first; empty where there is none.
std::vector<Leg> find_way(const Network& net, const Balanced& run, int target, double no_flow) {
    struct Place {
        std::vector<Leg> legs;
        std::size_t next = 0;
    };
    std::vector<Leg> way;  // from the target upstream
    std::vector<Place> places;
    std::vector<char> seen(net.node_elevation.size(), 0);
    const auto enter = [&](int node) {
        seen[at(node)] = 1;
        places.push_back({legs_into(net, run, node, no_flow), 0});
    };
    enter(target);
    while (!places.empty()) {
        Place& place = places.back();
        if (place.next == place.legs.size()) {
            places.pop_back();
            if (!way.empty()) way.pop_back();
            continue;
        }
        const Leg leg = place.legs[place.next++];
        if (leg.upstream != fixed && seen[at(leg.upstream)]) continue;
        way.push_back(leg);
        if (leg.upstream == fixed) break;
        enter(leg.upstream);
    }
    std::reverse(way.begin(), way.end());
    return way;
}

class Writer {
  public:
    Writer(const model::System& system, const Network& network, const RunResult& result, const Balanced& run,
           Worksheet& sheet)
        : system_(system), net_(network), result_(result), run_(run), sheet_(sheet) {}

    void leg(const Leg& leg) {
        const Element& element = *leg.element;
        const std::size_t i = at(element.ref.index);
        switch (element.ref.kind) {
            case ElementKind::supply:
                supply(leg, i);
                break;
            case ElementKind::pipe:
                pipe(leg, system_.pipes[i]);
                break;
            case ElementKind::device:
                through(leg, item_of(system_.devices[i].type), result_.device_holding[i] != 0);
                break;
            case ElementKind::valve:
                through(leg, "valve", result_.valve_holding[i] != 0);
                break;
            case ElementKind::head:
            case ElementKind::point:
            case ElementKind::run:
                break;
        }
    }

    /// From the lateral below the head to its nozzle.
    void head(Index index) {
        const model::Head& row = system_.heads[at(index)];
        const ElementRef subject{ElementKind::head, index};
        const double flow = result_.head_flow[at(index)], nozzle = result_.head_pressure[at(index)];
        const bool joint = row.joint.kind != model::LossKind::lossless;
        const double lost =
            net_.head_laws[at(index)]->joint_resistance() * flow * flow / net_.metres_per_pascal;
        if (!result_.head_holding[at(index)]) {
            if (joint) add("swing-joint", subject, flow, nozzle - pressure_, -lost);
            return;
        }
        if (joint) add("swing-joint", subject, flow, -lost, -lost);
        add("regulation", subject, flow, nozzle - pressure_, std::min(0.0, row.set->value - pressure_));
    }

  private:
    WorksheetLine& add(const char* item, ElementRef subject, double flow, double change, double by_law) {
        pressure_ += change;
        sheet_.lines.push_back(
            {item, subject, flow, absent, absent, absent, change, pressure_, elevation_, by_law});
        return sheet_.lines.back();
    }

    double pascals(double metres) const { return metres / net_.metres_per_pascal; }

    void supply(const Leg& leg, std::size_t i) {
        const ElementRef subject{ElementKind::supply, static_cast<Index>(i)};
        const double flow = result_.supply_flow[i], at_rest = system_.supplies[i].static_pressure.value;
        elevation_ = net_.node_elevation[at(leg.downstream)];
        add("static", subject, flow, at_rest, at_rest);
        add("supply", subject, flow, result_.supply_pressure[i] - pressure_,
            -pascals(leg.element->law->loss(flow)));
    }

    void pipe(const Leg& leg, const model::Pipe& row) {
        const ElementRef subject = leg.element->ref;
        const double along = run_.flow(*leg.element), flow = std::abs(along), bore = row.size->bore.value;
        const bool forward = leg.element->head == leg.downstream;
        const double loss = result_.pipe_loss[at(subject.index)] * (forward ? 1 : -1);
        const double minor = std::min(
            minor_loss_resistance(row.k.value, bore) * flow * flow / net_.metres_per_pascal, std::abs(loss));
        const double friction = (std::abs(loss) - minor) / (1 + row.fittings);
        const double fittings = std::abs(loss) - friction;
        const double velocity = flow / (std::numbers::pi / 4 * bore * bore);
        const double goal = run_.pressure(leg.downstream);
        const bool level = net_.node_elevation[at(leg.upstream)] == net_.node_elevation[at(leg.downstream)];
        const bool has_fittings = row.fittings > 0 || row.k.value > 0;
        const double lost = pascals(leg.element->law->loss(flow)),
                     lost_by_friction = (lost - minor) / (1 + row.fittings);

        // On the level the pipe takes up the rounding of the balance, elsewhere the elevation does.
        const double taken = level ? goal - pressure_ + (has_fittings ? std::copysign(fittings, loss) : 0)
                                   : -std::copysign(friction, loss);
        WorksheetLine& line = add("pipe", subject, flow, taken, -lost_by_friction);
        line.bore = bore;
        line.length = row.length.value;
        line.velocity = velocity;
        if (has_fittings) {
            WorksheetLine& of_fittings =
                add("fittings", subject, flow, -std::copysign(fittings, loss), lost_by_friction - lost);
            of_fittings.bore = bore;
            of_fittings.velocity = velocity;
        }
        if (level) return;
        const double before = elevation_;
        elevation_ = net_.node_elevation[at(leg.downstream)];
        add("elevation", subject, flow, goal - pressure_, pascals(before - elevation_));
    }

    /// A device or valve; what a held outlet takes beyond the loss of the thing itself is regulation.
    void through(const Leg& leg, const char* item, bool holding) {
        const Element& element = *leg.element;
        const double flow = std::abs(run_.flow(element)), goal = run_.pressure(leg.downstream);
        const double held = pascals(element.held_height - elevation_),
                     lost = pascals(element.law->losses(flow).high);
        if (!holding) {
            add(item, element.ref, flow, goal - pressure_, std::min(-lost, held - pressure_));
            return;
        }
        add(item, element.ref, flow, -lost, -lost);
        add("regulation", element.ref, flow, goal - pressure_, std::min(0.0, held - pressure_));
    }

    const model::System& system_;
    const Network& net_;
    const RunResult& result_;
    const Balanced& run_;
    Worksheet& sheet_;
    double pressure_ = 0;   // running, Pa
    double elevation_ = 0;  // m, where it is measured
};

}  // namespace

Worksheet make_worksheet(const model::System& system, const model::Layout& layout, const RunResult& result,
                         Index head) {
    if (result.failure || !result.closure.solved) throw std::invalid_argument("the run has no solution");
    const std::string& id = system.point_id(system.heads[at(head)].point);
    if (std::isnan(result.head_pressure[at(head)]))
        throw std::invalid_argument("no water reaches head '" + id + "' in this run");

    const Network network = build_network(system, layout);
    const Balanced run(system, network, result);
    const double no_flow = 1e-12 + 1e-9 * result.flow;  // m3/s
    const int target = network.elements[at(network.first_head + head)].tail;
    const std::vector<Leg> way = find_way(network, run, target, no_flow);
    if (way.empty())
        throw std::invalid_argument("no way of the water leads to head '" + id + "' in this run");

    Worksheet sheet;
    sheet.run = result.run;
    sheet.head = head;
    Writer writer(system, network, result, run, sheet);
    for (const Leg& leg : way) writer.leg(leg);
    writer.head(head);
    sheet.pressure = result.head_pressure[at(head)];
    sheet.wanted = wanted_pressure(system, head).value_or(absent);
    sheet.margin = sheet.pressure - sheet.wanted;
    return sheet;
}

}  // namespace evenhead::solver
