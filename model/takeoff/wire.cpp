// Wire: one to every valve and one that is common to all, in the trench of the mainline.
//
// Each valve's wire follows the mainline's shortest way from the nearest controller. The common wire of each
// controller goes along all of its ways at once, each stretch of pipe once. At either end a wire has some
// slack.
#include <algorithm>
#include <cmath>
#include <utility>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/dijkstra_shortest_paths.hpp>

#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model::takeoff {
namespace {

constexpr std::string_view controller_id = "controller";

class Wire {
  public:
    Wire(const Subject& subject, const TakeoffOptions& options, Lines& lines, Takeoff& result)
        : subject_(subject),
          system_(subject.system),
          options_(options),
          lines_(lines),
          result_(result),
          on_mainline_(system_.points.size(), 0) {
        for (std::size_t i = 0; i < system_.pipes.size(); ++i)
            if (subject.layout.pipe_on_mainline[i] != 0)
                for (const Index end : {system_.pipes[i].from, system_.pipes[i].to})
                    on_mainline_[at(end)] = 1;
    }

    void count() {
        for (const Valve& valve : system_.valves) targets_.push_back(valve.point);
        for (const Device& device : system_.devices) {
            if (device.type == DeviceType::master) targets_.push_back(device.point);
            if (device.type == DeviceType::flow_sensor) sensors_.push_back(device.point);
        }
        if (targets_.empty() && sensors_.empty()) return;
        find_controllers();
        find_ways();
        for (const Index target : targets_) {
            if (!reached(target)) result_.unrouted.push_back(target);
            longest_ = std::max(longest_, way_to(target));
        }
        const std::string gauge = result_.wire = gauge_for(longest_);
        result_.wire_slack = slack();
        for (const Index target : targets_) {
            result_.wires.push_back(wire_to(target, false));
            add({TakeoffItem::valve_wire, "", {}, gauge}, {false, target, way_to(target) + 2 * slack()});
            if (subject_.rules.connectors > 0)
                lines_.add({TakeoffItem::wire_connector, "", {}, ""},
                           {false, target, static_cast<double>(subject_.rules.connectors)});
        }
        for (const Index sensor : sensors_) {
            result_.wires.push_back(wire_to(sensor, true));
            add({TakeoffItem::sensor_cable, "", {}, ""}, {false, sensor, way_to(sensor) + 2 * slack()});
        }
        common(gauge);
    }

  private:
    double slack() const { return subject_.rules.wire_slack.in(system_.units); }

    void add(const Lines::Thing& thing, const TakeoffElement& element) {
        TakeoffLine& line = lines_.add(thing, element);
        line.waste = subject_.rules.wire_waste;
        line.piece = subject_.rules.wire_spool.in(system_.units);
        line.coil = true;
    }

    std::string gauge_for(double length) const {
        const bool us = system_.units == UnitSystem::us;
        for (const WireRule& rule : subject_.rules.wires)
            if (length <= rule.reach.in(system_.units)) return us ? rule.us : rule.metric;
        return us ? subject_.rules.wires.back().us : subject_.rules.wires.back().metric;
    }

    void find_controllers() {
        using How = TakeoffController::How;
        for (const TakeoffStart& start : options_.controllers) add_controller(How::asked, start);
        if (result_.controllers.empty())
            for (std::size_t i = 0; i < system_.points.size(); ++i)
                if (names_a_controller(system_.points[i].id))
                    add_controller(How::in_case, {static_cast<Index>(i), {}});
        if (result_.controllers.empty() && !system_.supplies.empty())
            add_controller(How::supply, {system_.supplies.front().point, {}});
    }

    void add_controller(TakeoffController::How how, const TakeoffStart& start) {
        TakeoffController controller{how, start.point, start.place};
        if (controller.point != none && !controller.place)
            controller.place = subject_.place(controller.point);
        if (controller.point != none && on_mainline_[at(controller.point)] != 0)
            controller.joins = controller.point;
        else
            join_nearest(controller);
        result_.controllers.push_back(controller);
    }

    /// A controller beside the mainline: its wires come straight to the nearest point of it.
    void join_nearest(TakeoffController& controller) {
        if (!controller.place) return;
        double least = std::numeric_limits<double>::infinity();
        for (std::size_t i = 0; i < system_.points.size(); ++i) {
            const auto place = on_mainline_[i] != 0 ? subject_.place(static_cast<Index>(i)) : std::nullopt;
            if (!place) continue;
            const double distance =
                std::hypot((*place)[0] - (*controller.place)[0], (*place)[1] - (*controller.place)[1]);
            if (!(distance < least)) continue;
            least = controller.lead = distance;
            controller.joins = static_cast<Index>(i);
        }
    }

    /// From all controllers at once: one vertex more stands before them, as far from where each joins the
    /// mainline as its lead is long.
    void find_ways() {
        using Length = boost::property<boost::edge_weight_t, double>;
        using Graph =
            boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS, boost::no_property, Length>;
        const std::size_t points = system_.points.size();
        before_.assign(points, none);
        length_.assign(points + 1, std::numeric_limits<double>::infinity());
        from_.assign(points, none);
        Graph graph(points + 1);
        bool any = false;
        for (std::size_t i = 0; i < result_.controllers.size(); ++i) {
            const TakeoffController& controller = result_.controllers[i];
            if (controller.joins == none) continue;
            boost::add_edge(points, at(controller.joins), controller.lead, graph);
            Index& known = from_[at(controller.joins)];
            if (known == none || controller.lead < result_.controllers[at(known)].lead)
                known = static_cast<Index>(i);
            any = true;
        }
        if (!any) return;
        for (std::size_t i = 0; i < system_.pipes.size(); ++i) {
            const Pipe& pipe = system_.pipes[i];
            if (subject_.layout.pipe_on_mainline[i] != 0)
                boost::add_edge(at(pipe.from), at(pipe.to), pipe.length.known() ? pipe.length.value : 0.0,
                                graph);
        }
        std::vector<std::size_t> before(points + 1);
        boost::dijkstra_shortest_paths(graph, points,
                                       boost::predecessor_map(before.data())
                                           .distance_map(length_.data())
                                           .distance_inf(std::numeric_limits<double>::infinity()));
        for (std::size_t i = 0; i < points; ++i)
            if (before[i] != i && before[i] != points) before_[i] = static_cast<Index>(before[i]);
    }

    bool reached(Index point) const { return std::isfinite(length_[at(point)]); }
    double way_to(Index point) const { return reached(point) ? length_[at(point)] : 0; }

    /// The controller whose wires come this way: that of the first point of it.
    Index controller_of(Index point) const {
        if (!reached(point)) return 0;
        while (before_[at(point)] != none) point = before_[at(point)];
        return from_[at(point)];
    }

    TakeoffWire wire_to(Index target, bool sensor) const {
        TakeoffWire wire{target, sensor, controller_of(target), reached(target), way_to(target) + 2 * slack(),
                         {},     {}};
        if (!wire.reached) return wire;
        for (Index point = target; point != none; point = before_[at(point)]) wire.way.push_back(point);
        std::reverse(wire.way.begin(), wire.way.end());
        const double lead = result_.controllers[at(wire.controller)].lead;
        for (const Index point : wire.way) wire.along.push_back(length_[at(point)] - lead);
        return wire;
    }

    /// Where no way leads, the wire is not counted but for its slack.
    void common(const std::string& gauge) {
        if (targets_.empty()) return;
        std::vector<char> passed(system_.points.size(), 0), begun(result_.controllers.size() + 1, 0),
            led(result_.controllers.size() + 1, 0);
        const Lines::Thing thing{TakeoffItem::common_wire, "", {}, gauge};
        for (const Index target : targets_) {
            const std::size_t controller = at(controller_of(target));
            double fresh = std::exchange(begun[controller], 1) == 0 ? 2 * slack() : slack();
            if (reached(target) && std::exchange(led[controller], 1) == 0)
                fresh += result_.controllers[controller].lead;
            for (Index point = target; point != none && passed[at(point)] == 0; point = before_[at(point)]) {
                passed[at(point)] = 1;
                if (before_[at(point)] != none) fresh += length_[at(point)] - length_[at(before_[at(point)])];
            }
            add(thing, {false, target, fresh});
        }
    }

    const Subject& subject_;
    const System& system_;
    const TakeoffOptions& options_;
    Lines& lines_;
    Takeoff& result_;
    std::vector<char> on_mainline_;  ///< by point
    std::vector<Index> targets_, sensors_;
    std::vector<double> length_;  ///< m of the shortest way, lead included, by point; infinity: none
    std::vector<Index> before_;   ///< on that way; none: a controller joins the mainline there
    std::vector<Index> from_;     ///< by point: the nearest controller that joins there
    double longest_ = 0;
};

}  // namespace

void count_wire(const Subject& subject, const TakeoffOptions& options, Lines& lines, Takeoff& result) {
    Wire(subject, options, lines, result).count();
}

}  // namespace evenhead::model::takeoff

namespace evenhead::model {

bool names_a_controller(const std::string& id) {
    const std::string_view stem = takeoff::controller_id;
    if (!id.starts_with(stem)) return false;
    if (id.size() == stem.size()) return true;
    return id.size() > stem.size() + 1 && id[stem.size()] == '-' &&
           id.find_first_not_of("0123456789", stem.size() + 1) == std::string::npos;
}

}  // namespace evenhead::model
