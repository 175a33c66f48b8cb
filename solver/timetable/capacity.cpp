// What prices can sum to in a set that nobody tried, from what the way out of the supply carries. In a set
// within limits every head has its lower limit p_h or more, so that a zone v draws at least
// q_v = sum of q_h(p_h), and all of it passes what follows the one supply before the first branch. There,
//   sum of q_v <= Q        by velocity and by what a device may pass, and
//   H(sum of q_v) >= R_v   for every zone v of the set, with H(Q) the height that is left behind those
//                          elements at flow Q (it never rises with Q), and R_v the highest p_h + z_h of v.
// With Q_v the greatest Q of both, the dearest set whose least Q_v is that of v costs no more than parts of
// zones do, dearest for their water first, until Q_v is full. All laws rise, so nothing is presumed but that.
#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/timetable/timetable_parts.hpp"

namespace evenhead::solver {
namespace {

struct ZoneDraw {
    double least = 0;            ///< m3/s
    double height = -infinity;   ///< m, that its neediest head wants at the least
    double capacity = infinity;  ///< m3/s
    double price = 0;
};

ZoneDraw draw_of(const model::System& system, const model::Layout& layout, const Network& network,
                 const RuleBasis& rules, Index valve) {
    ZoneDraw draw;
    if (rules[RuleId::head_pressure].off) return draw;
    for (const Index head : layout.zone_heads[at(valve)]) {
        const auto wanted = wanted_pressure(system, head);
        if (!wanted) continue;
        const HeadLaw& law = *network.head_laws[at(head)];
        double pressure = *wanted * network.metres_per_pascal;
        if (law.set()) pressure = std::min(pressure, *law.set());
        if (pressure <= 0) continue;
        draw.least += law.nozzle().flow(pressure);
        draw.height =
            std::max(draw.height, network.elements[at(network.first_head + head)].fixed_height + pressure);
    }
    return draw;
}

/// The elements after the one supply, before anything branches, each with its direction.
struct Trunk {
    struct Part {
        int element;
        bool forward;
    };
    const Network& network;
    double height = 0;  ///< m, of the supply at no flow
    std::vector<Part> parts;

    double height_behind(double flow) const {
        double left = height;
        for (const Part& part : parts) {
            const Element& element = network.elements[at(part.element)];
            if (element.law != nullptr) {
                const double q =
                    std::clamp(part.forward ? flow : -flow, element.law->low(), element.law->high());
                left -= part.forward ? element.law->loss(q) : -element.law->loss(q);
            }
            if (element.regulates()) left = std::min(left, element.held_height);
        }
        return left;
    }
};

Trunk trunk_of(const model::System& system, const Network& network) {
    Trunk trunk{network, 0, {}};
    if (system.supplies.size() != 1) return trunk;
    const Element& supply = network.elements[0];
    trunk.height = supply.fixed_height;
    trunk.parts.push_back({0, true});
    int node = supply.tail == fixed ? supply.head : supply.tail, from = 0;
    while (node != fixed && network.link_start[at(node) + 1] - network.link_start[at(node)] == 2) {
        const int first = network.links[at(network.link_start[at(node)])];
        const int next = first == from ? network.links[at(network.link_start[at(node)] + 1)] : first;
        if (next < network.first_pipe || next >= network.first_valve) break;
        const Element& element = network.elements[at(next)];
        trunk.parts.push_back({next, element.tail == node});
        node = element.tail == node ? element.head : element.tail;
        from = next;
    }
    return trunk;
}

double limit_of(const model::System& system, const RuleBasis& rules, const Network& network, int element) {
    constexpr double pi = 3.14159265358979323846;
    if (element >= network.first_pipe && element < network.first_device) {
        const RuleLimit& limit = rules[RuleId::velocity];
        if (limit.off || !limit.has_value) return infinity;
        const model::PipeSize& size = *system.pipes[at(element - network.first_pipe)].size;
        const double velocity = limit.differs_by_material
                                    ? limit.by_material[static_cast<std::size_t>(size.material)]
                                    : limit.value;
        return velocity * pi / 4 * size.bore.value * size.bore.value;
    }
    if (element >= network.first_device && element < network.first_valve) {
        const model::Device& device = system.devices[at(element - network.first_device)];
        const RuleLimit& limit = rules[RuleId::meter_flow];
        if (!limit.off && limit.has_value && device.safe_flow && device.safe_flow->known())
            return limit.value * device.safe_flow->value;
    }
    return infinity;
}

/// The greatest flow at which so much height is left.
double flow_with(const Trunk& trunk, double height) {
    double low = 0, high = 10;  // m3/s
    if (trunk.height_behind(high) >= height) return infinity;
    for (int i = 0; i < 60; ++i) {
        const double middle = (low + high) / 2;
        (trunk.height_behind(middle) >= height ? low : high) = middle;
    }
    return high;
}

}  // namespace

double most_priced(const model::System& system, const model::Layout& layout, const Network& network,
                   const NightZones& night, const FractionalNight& fractional) {
    const RuleBasis rules = prepare_rules(system, layout);
    const Trunk trunk = trunk_of(system, network);
    double all = infinity;
    for (const Trunk::Part& part : trunk.parts)
        all = std::min(all, limit_of(system, rules, network, part.element));
    std::vector<ZoneDraw> zones;
    for (std::size_t z = 0; z < night.zones.size(); ++z) {
        ZoneDraw draw = draw_of(system, layout, network, rules, night.zones[z].valve);
        draw.price = std::max(0.0, fractional.price[z]);
        draw.capacity = all;
        if (!trunk.parts.empty() && draw.height > -infinity)
            draw.capacity = std::min(draw.capacity, flow_with(trunk, draw.height));
        draw.capacity *= 1 + 1e-6;  // limits are kept to a little less
        zones.push_back(draw);
    }
    std::stable_sort(zones.begin(), zones.end(), [](const ZoneDraw& a, const ZoneDraw& b) {
        return a.price * b.least > b.price * a.least;  // dearest for their water first
    });
    double most = 1;
    for (const ZoneDraw& least : zones) {
        double room = least.capacity, sum = 0;
        for (const ZoneDraw& zone : zones) {
            if (zone.capacity < least.capacity || zone.price <= 0) continue;
            const double part = zone.least <= room ? 1 : room / zone.least;
            sum += part * zone.price;
            room -= part * zone.least;
            if (part < 1) break;
        }
        most = std::max(most, sum);
    }
    return most;
}

}  // namespace evenhead::solver
