// What the mainline carries in any set within limits, also in those that nobody tried. There every head has
// its lower limit p_h or more, so that zone v draws at least q_v = sum of q_h(p_h). All of it passes the
// pipes and devices that alone lead to v: behind each,
//   sum of q_v <= Q              by velocity and by what a device may pass;
// and it comes through what follows the supplies before anything branches (the trunks), with H_s(Q) the
// height that trunk s leaves behind itself at flow Q (never more for more Q), and R_v the highest p_h + z_h
// of v, less what pumps elsewhere add at the most. With one supply
//   H(sum of q_v) >= R_v         for every zone v of the set;
// with several, what any of them sends goes to zones no higher than it stands there:
//   sum of q_v <= sum over s of the greatest Q with H_s(Q) >= the least R_v.
//
// Zones draw more than at their heads' limits. No more than some Q passes the trunks, and the height before
// the valve of v falls with every draw, with none faster than with that at v itself; so that it is at least
// what is left there where all of Q is drawn at v. It is also at least what is left on any way to it, each
// of whose elements passes no more than it may, nor more than the zones behind it draw alone. v draws at
// least what it draws at that height. Nothing is presumed but that all laws rise.
#include "solver/timetable/rooms_parts.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>
#include <queue>

#include "model/position.hpp"
#include "solver/rules/velocity.hpp"
#include "solver/timetable/least_draw.hpp"

namespace evenhead::solver {
namespace {

constexpr double slack = 1 + 1e-6;  // limits are kept to a little less

/// What is left of a height behind an element that passes so much; minus infinite where that cannot be.
double height_left(const Element& element, bool forward, double flow, double height) {
    if (element.law != nullptr) {
        const double q = forward ? flow : -flow;
        if (q <= element.law->low() || q >= element.law->high()) {
            if (q != 0) return -infinity;
            height -= std::max(0.0, element.law->loss(0));
        } else {
            height -= forward ? element.law->loss(q) : -element.law->loss(q);
        }
    }
    return element.regulates() ? std::min(height, element.held_height) : height;
}

/// The elements after a supply, before anything branches, each with its direction.
struct Trunk {
    struct Part {
        int element;
        bool forward;
    };
    const Network& network;
    double height = 0;  ///< m, of the supply at no flow
    std::vector<Part> parts;
    int end = fixed;  ///< the node behind them

    double height_behind(double flow) const {
        double left = height;
        for (const Part& part : parts)
            left = height_left(network.elements[at(part.element)], part.forward, flow, left);
        return left;
    }

    /// The greatest flow at which so much height is left.
    double flow_with(double wanted) const {
        double low = 0, high = 10;  // m3/s
        if (height_behind(high) >= wanted) return infinity;
        for (int i = 0; i < 60; ++i) {
            const double middle = (low + high) / 2;
            (height_behind(middle) >= wanted ? low : high) = middle;
        }
        return high;
    }
};

class Finder {
  public:
    Finder(const model::System& system, const model::Layout& layout, const Network& network,
           const RuleBasis& rules, const NightZones& night)
        : system_(system), layout_(layout), network_(network), rules_(rules), night_(night) {}

    Rooms find() {
        Rooms rooms;
        rooms.zones.resize(night_.zones.size());
        rooms.trunk.assign(network_.elements.size(), 0);
        for (int supply = 0; supply < network_.first_pipe; ++supply) {
            trunks_.push_back(trunk_of(supply));
            for (const Trunk::Part& part : trunks_.back().parts) rooms.trunk[at(part.element)] = 1;
        }
        find_boost(rooms);
        find_sides();
        heads_limits(rooms);
        capacities(rooms);
        draw_more(rooms);
        find_places(rooms);
        return rooms;
    }

  private:
    /// Of an element: [0 = at its tail, 1 = at its head].
    struct Sides {
        bool alone = false;  ///< it alone joins them
        std::array<std::vector<std::size_t>, 2> trunks, zones;
    };

    Index valve_of(std::size_t zone) const { return night_.zones[zone].valve; }
    int inlet_of(std::size_t zone) const {
        return network_.inlet_node[at(system_.valves[at(valve_of(zone))].point)];
    }

    Trunk trunk_of(int supply) const {
        Trunk trunk{network_, network_.elements[at(supply)].fixed_height, {{supply, true}}, fixed};
        const Element& first = network_.elements[at(supply)];
        int node = first.tail == fixed ? first.head : first.tail, from = supply;
        while (node != fixed && network_.link_start[at(node) + 1] - network_.link_start[at(node)] == 2) {
            const int one = network_.links[at(network_.link_start[at(node)])];
            const int next = one == from ? network_.links[at(network_.link_start[at(node)] + 1)] : one;
            if (next < network_.first_pipe || next >= network_.first_valve) break;
            const Element& element = network_.elements[at(next)];
            trunk.parts.push_back({next, element.tail == node});
            node = element.tail == node ? element.head : element.tail;
            from = next;
        }
        trunk.end = node;
        return trunk;
    }

    /// What may pass an element by the rules, m3/s.
    double limit_of(int element) const {
        if (element >= network_.first_pipe && element < network_.first_device) {
            const RuleLimit& limit = rules_[RuleId::velocity];
            if (limit.off || !limit.has_value) return infinity;
            const model::PipeSize& size = *system_.pipes[at(element - network_.first_pipe)].size;
            return most_velocity(limit, size.material) * std::numbers::pi / 4 * size.bore.value *
                   size.bore.value;
        }
        if (element >= network_.first_device && element < network_.first_valve) {
            const model::Device& device = system_.devices[at(element - network_.first_device)];
            const RuleLimit& limit = rules_[RuleId::meter_flow];
            if (!limit.off && limit.has_value && device.safe_flow && device.safe_flow->known())
                return limit.value * device.safe_flow->value;
        }
        return infinity;
    }

    /// What pumps after the trunks add at the most.
    void find_boost(const Rooms& rooms) {
        for (int e = network_.first_device; e < network_.first_valve; ++e) {
            const Element& element = network_.elements[at(e)];
            if (rooms.trunk[at(e)] != 0 || element.law == nullptr) continue;
            boost_ += std::max(0.0, -element.law->loss(std::max(0.0, element.law->low())));
        }
    }

    /// For each pipe and device of the mainline that alone joins two sides: what lies on each.
    void find_sides() {
        sides_.resize(at(network_.first_valve));
        for (int e = network_.first_pipe; e < network_.first_valve; ++e) {
            const Index pipe = e - network_.first_pipe;
            if (e < network_.first_device &&
                (layout_.pipe_on_mainline[at(pipe)] == 0 || layout_.pipe_in_loop[at(pipe)] != 0))
                continue;
            const Element& element = network_.elements[at(e)];
            if (element.tail == fixed || element.head == fixed) continue;
            const std::vector<char> reached = reached_from(element.tail, e);
            if (reached[at(element.head)] != 0) continue;
            Sides& sides = sides_[at(e)];
            sides.alone = true;
            for (std::size_t t = 0; t < trunks_.size(); ++t) {
                const Element& supply = network_.elements[t];
                const int node = supply.tail == fixed ? supply.head : supply.tail;
                sides.trunks[reached[at(node)] != 0 ? 0 : 1].push_back(t);
            }
            for (std::size_t z = 0; z < night_.zones.size(); ++z)
                sides.zones[reached[at(inlet_of(z))] != 0 ? 0 : 1].push_back(z);
        }
    }

    /// By node: whether an open way over the mainline leads there that does not pass the element.
    std::vector<char> reached_from(int start, int without) const {
        std::vector<char> reached(network_.node_elevation.size(), 0);
        std::vector<int> open;
        const auto reach = [&](int node) {
            if (node == fixed || reached[at(node)] != 0) return;
            reached[at(node)] = 1;
            open.push_back(node);
        };
        reach(start);
        while (!open.empty()) {
            const int node = open.back();
            open.pop_back();
            for (int l = network_.link_start[at(node)]; l < network_.link_start[at(node) + 1]; ++l) {
                const int e = network_.links[at(l)];
                if (e == without || e >= network_.first_valve || network_.closed[at(e)] != 0) continue;
                reach(network_.elements[at(e)].tail);
                reach(network_.elements[at(e)].head);
            }
        }
        return reached;
    }

    /// The zones that an element alone leads to.
    const std::vector<std::size_t>& behind(int element) const {
        static const std::vector<std::size_t> none;
        const Sides& sides = sides_[at(element)];
        if (!sides.alone) return none;
        for (const std::size_t side : {std::size_t{0}, std::size_t{1}})
            if (sides.trunks[side].empty()) return sides.zones[side];
        return none;
    }

    void heads_limits(Rooms& rooms) {
        heights_.assign(night_.zones.size(), -infinity);
        std::vector<int> zones_of_head(system_.heads.size(), 0);
        for (const auto& heads : layout_.zone_heads)
            for (const Index head : heads) ++zones_of_head[at(head)];
        for (const int count : zones_of_head) heads_on_mainline_ = heads_on_mainline_ || count == 0;
        shared_.assign(night_.zones.size(), 0);
        for (std::size_t z = 0; z < night_.zones.size(); ++z) {
            for (const Index head : layout_.zone_heads[at(valve_of(z))])
                if (zones_of_head[at(head)] > 1) shared_[z] = 1;
            if (shared_[z] != 0 || rules_[RuleId::head_pressure].off || rules_[RuleId::unfed].off) continue;
            for (const Index head : layout_.zone_heads[at(valve_of(z))]) {
                const auto wanted = wanted_pressure(system_, head);
                if (!wanted) continue;
                const HeadLaw& law = *network_.head_laws[at(head)];
                double pressure = *wanted * network_.metres_per_pascal;
                if (law.set()) pressure = std::min(pressure, *law.set());
                if (pressure <= 0) continue;
                rooms.zones[z].least += law.nozzle().flow(pressure);
                const Element& outlet = network_.elements[at(network_.first_head + head)];
                heights_[z] = std::max(heights_[z], outlet.fixed_height + pressure - boost_);
            }
        }
    }

    double sent_with(const Trunk& trunk, double height) const {
        double most = height > -infinity ? trunk.flow_with(height) : infinity;
        for (const Trunk::Part& part : trunk.parts) most = std::min(most, limit_of(part.element));
        return most * slack;
    }

    void capacities(Rooms& rooms) {
        double least_height = heads_on_mainline_ ? -infinity : infinity;
        for (const double height : heights_) least_height = std::min(least_height, height);
        for (const Trunk& trunk : trunks_) sent_.push_back(sent_with(trunk, least_height));
        const double all = std::accumulate(sent_.begin(), sent_.end(), 0.0);
        for (std::size_t z = 0; z < heights_.size(); ++z)
            rooms.zones[z].capacity = trunks_.size() == 1 ? sent_with(trunks_.front(), heights_[z]) : all;
    }

    /// By node: what stands there at the least while no more than `flow` passes all trunks.
    std::vector<double> least_heights(double flow) const {
        std::vector<double> heights(network_.node_elevation.size(), -infinity);
        std::priority_queue<std::pair<double, int>> next;
        const auto reach = [&](int node, double height) {
            if (node == fixed || height <= heights[at(node)]) return;
            heights[at(node)] = height;
            next.emplace(height, node);
        };
        for (const Trunk& trunk : trunks_) {
            const double sent = sent_[static_cast<std::size_t>(&trunk - trunks_.data())];
            reach(trunk.end, trunk.height_behind(std::min(flow, sent)));
        }
        while (!next.empty()) {
            const auto [height, node] = next.top();
            next.pop();
            if (height < heights[at(node)]) continue;
            for (int l = network_.link_start[at(node)]; l < network_.link_start[at(node) + 1]; ++l) {
                const int e = network_.links[at(l)];
                if (e < network_.first_pipe || e >= network_.first_valve || network_.closed[at(e)] != 0)
                    continue;
                const Element& element = network_.elements[at(e)];
                const bool forward = element.tail == node;
                if (element.one_way && !forward) continue;
                const double most = std::min({flow, limit_of(e) * slack, passing(e, forward)});
                reach(forward ? element.head : element.tail, height_left(element, forward, most, height));
            }
        }
        return heights;
    }

    /// What an element that alone joins two sides passes at the most: what the supplies on the one send, and
    /// what the zones on the other draw, each alone.
    double passing(int element, bool forward) const {
        const Sides& sides = sides_[at(element)];
        if (!sides.alone) return infinity;
        const std::size_t from = forward ? 0 : 1, to = forward ? 1 : 0;
        double sent = 0, drawn = 0;
        for (const std::size_t t : sides.trunks[from]) sent += sent_[t];
        if (heads_on_mainline_ || !sides.trunks[to].empty()) return sent;
        for (const std::size_t z : sides.zones[to])
            drawn += night_.zones[z].alone > 0 ? night_.zones[z].alone : infinity;
        return std::min(sent, drawn * slack);
    }

    void draw_more(Rooms& rooms) const {
        double flow = 0;
        for (const ZoneRoom& zone : rooms.zones) flow = std::max(flow, zone.capacity);
        if (!(flow < infinity)) return;
        std::vector<Index> valves;
        for (std::size_t z = 0; z < night_.zones.size(); ++z) valves.push_back(valve_of(z));
        std::vector<double> heights = heights_before(system_, layout_, valves, flow);
        const std::vector<double> on_ways = least_heights(flow);
        for (std::size_t z = 0; z < heights.size(); ++z)
            heights[z] = std::max(heights[z], on_ways[at(inlet_of(z))]);
        const std::vector<double> draws = draws_at(system_, layout_, valves, heights);
        for (std::size_t z = 0; z < heights.size(); ++z)
            if (shared_[z] == 0) rooms.zones[z].least = std::max(rooms.zones[z].least, draws[z] / slack);
    }

    /// Those that may not pass all that is drawn behind them; of places with the same zones the narrowest.
    void find_places(Rooms& rooms) const {
        std::vector<std::pair<const std::vector<std::size_t>*, double>> places;
        for (int e = network_.first_pipe; e < network_.first_valve; ++e) {
            const std::vector<std::size_t>& zones = behind(e);
            const double limit = limit_of(e) * slack;
            double least = 0;
            for (const std::size_t z : zones) least += rooms.zones[z].least;
            if (least <= limit) continue;
            const auto same = std::find_if(places.begin(), places.end(),
                                           [&](const auto& place) { return *place.first == zones; });
            if (same == places.end())
                places.emplace_back(&zones, limit);
            else
                same->second = std::min(same->second, limit);
        }
        for (const auto& [zones, limit] : places) {
            for (const std::size_t z : *zones)
                rooms.zones[z].behind.push_back(static_cast<int>(rooms.places.size()));
            rooms.places.push_back(limit);
        }
    }

    const model::System& system_;
    const model::Layout& layout_;
    const Network& network_;
    const RuleBasis& rules_;
    const NightZones& night_;
    std::vector<Trunk> trunks_;
    double boost_ = 0;             // m
    std::vector<Sides> sides_;     // by element
    std::vector<double> sent_;     // by trunk: m3/s at the most
    std::vector<double> heights_;  // by zone: R_v
    std::vector<char> shared_;     // by zone: with a head of another zone
    bool heads_on_mainline_ = false;
};

}  // namespace

Rooms find_rooms(const model::System& system, const model::Layout& layout, const Network& network,
                 const RuleBasis& rules, const NightZones& night) {
    return Finder(system, layout, network, rules, night).find();
}

}  // namespace evenhead::solver
