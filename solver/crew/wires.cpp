// A solenoid pulls in with I, and holds with H. Of the valves that are open at once (those of a run, and
// every master valve) the one looked at pulls in last, the others hold. Its own wire of length l has r l; of
// the common wire, each stretch s on its way is also on the way of n(s) of the others:
//
//   own = r l I,   common = sum over s of r |s| (I + n(s) H),   V = controller - own - common
//
// with r of the published resistance at 20 degC and what copper gains up to the ground's temperature. The way
// of the common wire is that of the valve's own, so a valve alone has 2 r l I and l <= (controller - least) /
// (2 r I). Voltages are taken off as if all current were in phase; it is not, so a little more is left. What
// is lost is in proportion to r, so that another wire needs no other sum.
#include "solver/crew/wires.hpp"

#include <algorithm>
#include <stdexcept>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

using model::TakeoffWire;

class Drops {
  public:
    Drops(const model::System& system, const model::Takeoff& takeoff, const model::CrewTable& table,
          double resistance)
        : system_(system),
          takeoff_(takeoff),
          table_(table),
          resistance_(resistance),
          passing_(system.points.size(), 0) {
        for (const TakeoffWire& wire : takeoff.wires) {
            if (wire.sensor) continue;
            ValveWire valve;
            valve.point = wire.point;
            valve.reached = wire.reached;
            valve.length = wire.length;
            valve.controller = wire.controller;
            valves_.push_back(valve);
            wires_.push_back(&wire);
        }
        wire_of_.assign(system.points.size(), model::none);
        for (std::size_t i = 0; i < wires_.size(); ++i)
            if (wires_[i]->reached) wire_of_[at(wires_[i]->point)] = static_cast<Index>(i);
        for (const model::Device& device : system.devices)
            if (device.type == model::DeviceType::master && wire_of_[at(device.point)] != model::none)
                masters_.push_back(wire_of_[at(device.point)]);
    }

    std::vector<ValveWire> find() {
        for (std::size_t i = 0; i < wires_.size(); ++i) {
            std::vector<Index> alone = masters_;
            if (!wires_[i]->reached) continue;
            if (std::find(alone.begin(), alone.end(), static_cast<Index>(i)) == alone.end())
                alone.push_back(static_cast<Index>(i));
            open(alone, model::none, static_cast<Index>(i));
        }
        for (std::size_t run = 0; run < system_.runs.size(); ++run) {
            std::vector<Index> together = masters_;
            for (const Index valve : system_.runs[run].valves) {
                const Index wire = wire_of_[at(system_.valves[at(valve)].point)];
                if (wire != model::none) together.push_back(wire);
            }
            for (const Index wire : together) open(together, static_cast<Index>(run), wire);
        }
        return std::move(valves_);
    }

  private:
    /// `last` pulls in while the others of `together` hold.
    void open(const std::vector<Index>& together, Index run, Index last) {
        int beside = 0;  // those at the same controller
        for (const Index wire : together) {
            pass(wire, 1);
            beside += wires_[at(wire)]->controller == wires_[at(last)]->controller ? 1 : 0;
        }
        const TakeoffWire& wire = *wires_[at(last)];
        const double slack = takeoff_.wire_slack, lead = takeoff_.controllers[at(wire.controller)].lead;
        const auto current = [&](int others) { return table_.inrush + others * table_.holding; };
        double common = slack * current(0) + (slack + lead) * current(beside - 1);
        for (std::size_t i = 1; i < wire.way.size(); ++i)
            common += (wire.along[i] - wire.along[i - 1]) * current(passing_[at(wire.way[i])] - 1);
        for (const Index other : together) pass(other, -1);
        ValveWire& valve = valves_[at(last)];
        const double own = resistance_ * wire.length * table_.inrush;
        common *= resistance_;
        const double volts = table_.controller - own - common;
        if (valve.own_drop > 0 && volts >= valve.volts) return;
        valve.run = run;
        valve.own_drop = own;
        valve.common_drop = common;
        valve.volts = volts;
    }

    void pass(Index wire, int times) {
        const auto& way = wires_[at(wire)]->way;
        for (std::size_t i = 1; i < way.size(); ++i) passing_[at(way[i])] += times;
    }

    const model::System& system_;
    const model::Takeoff& takeoff_;
    const model::CrewTable& table_;
    const double resistance_;
    std::vector<int> passing_;  ///< by point: valves whose common wire passes the stretch that ends there
    std::vector<ValveWire> valves_;
    std::vector<const TakeoffWire*> wires_;
    std::vector<Index> wire_of_;  ///< by point: the wire that ends there
    std::vector<Index> masters_;
};

const model::WireGauge& gauge_of(const model::CrewTable& table, const std::string& name) {
    const model::WireGauge* found = table.find(name);
    if (!found) throw std::invalid_argument("the table has no wire " + name);
    return *found;
}

}  // namespace

WireSheet wire_drops(const model::System& system, const model::Takeoff& takeoff,
                     const model::CrewTable& table, const std::string& gauge) {
    WireSheet sheet;
    sheet.gauge = gauge.empty() ? takeoff.wire : gauge;
    for (const model::TakeoffLine& line : takeoff.lines)
        if (line.item == model::TakeoffItem::common_wire) sheet.common += line.quantity;
    if (std::all_of(takeoff.wires.begin(), takeoff.wires.end(), [](const auto& wire) { return wire.sensor; }))
        return sheet;
    const model::WireGauge& wire = gauge_of(table, sheet.gauge);
    sheet.resistance = table.resistance_of(wire);
    const double allowed = table.controller - table.least;
    sheet.longest = allowed / (2 * sheet.resistance * table.inrush);
    sheet.valves = Drops(system, takeoff, table, sheet.resistance).find();
    double most = 0;
    const auto thinnest = [&](double drop) -> std::string {
        for (const model::WireGauge& other : table.wires)
            if (other.metric == wire.metric && drop * other.resistance / wire.resistance <= allowed)
                return other.name;
        return "";
    };
    for (ValveWire& valve : sheet.valves) {
        if (!valve.reached) continue;
        const double drop = valve.own_drop + valve.common_drop;
        most = std::max(most, drop);
        valve.enough = drop <= allowed;
        valve.needs = thinnest(drop);
    }
    sheet.needs = thinnest(most);
    return sheet;
}

}  // namespace evenhead::solver
