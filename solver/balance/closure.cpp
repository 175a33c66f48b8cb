// The mismatch computed again, from flows, heights and laws only: nothing here knows how they were found.
#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/balance/balance.hpp"

namespace evenhead::solver {
namespace {

constexpr double gpm = 231 * 0.0254 * 0.0254 * 0.0254 / 60;  // m3/s
constexpr double most_imbalance_share = 1e-9, most_imbalance = 1e-9 * gpm;

// How far (q, D) is from the curve: the smaller of the change of height and the change of flow (as height, by
// the law's slope) that would put it there.
double distance(const Law& law, double q, double D) {
    const double inside = std::clamp(q, law.low(), law.high());
    const LossRange range = law.losses(inside);
    const double off = std::max({0.0, range.low - D, D - range.high});
    const double outside = std::abs(q - inside);
    if (outside == 0 && off == 0) return 0;
    // The ends of a domain are upright: what lies beyond is no flow of this law, but for what the balance may
    // miss by.
    if (outside > most_imbalance) return infinity;
    const double on_curve = law.flow(D, inside);
    // The steeper of the two: at rest the slope is nothing, and any height would pass for a small change of
    // flow.
    const double slope = std::max(law.slope(inside), law.slope(on_curve));
    const double along = std::abs(q - on_curve) * slope;
    return std::isfinite(along) ? std::min(off, along) : off;
}

// The regulator's three states: open, holding, shut; the one that fits best counts.
double regulator_distance(const Element& element, double q, double inlet, double outlet) {
    const double held = element.held_height;
    if (q < 0) return infinity;
    const double lost = element.law->loss(q);
    const double open = std::max(distance(*element.law, q, inlet - outlet), outlet - held);
    const double holding = std::max(std::abs(outlet - held), held - (inlet - lost));
    const double shut = q > 0 ? infinity : std::min(inlet - element.law->losses(0).high, held) - outlet;
    return std::max(0.0, std::min({open, holding, shut}));
}

}  // namespace

Closure check_closure(const Network& network, const State& state) {
    Closure closure;
    std::vector<double> imbalance(network.node_elevation.size(), 0.0),
        largest(network.node_elevation.size(), 0.0);
    double worst_height = 0;
    const auto note = [&](double height, const ElementRef& ref) {
        if (!(height <= worst_height)) {
            worst_height = height;
            static constexpr const char* words[] = {"point", "pipe",   "device", "valve",
                                                    "head",  "supply", "run"};
            closure.worst_element = words[static_cast<std::size_t>(ref.kind)];
            closure.worst_index = ref.index;
        }
    };
    for (std::size_t e = 0; e < network.elements.size(); ++e) {
        const Element& element = network.elements[e];
        const double q = state.flow[e];
        for (const auto& [node, sign] : {std::pair{element.tail, -1.0}, std::pair{element.head, 1.0}}) {
            if (node == fixed) continue;
            imbalance[at(node)] += sign * q;
            largest[at(node)] = std::max(largest[at(node)], std::abs(q));
        }
        if (!state.active[e]) {
            if (q != 0) note(infinity, element.ref);
            continue;
        }
        const double inlet = element.tail == fixed ? element.fixed_height : state.height[at(element.tail)];
        const double outlet = element.head == fixed ? element.fixed_height : state.height[at(element.head)];
        note(element.regulates() ? regulator_distance(element, q, inlet, outlet)
                                 : distance(*element.law, q, inlet - outlet),
             element.ref);
    }
    bool balanced = true;
    double worst_excess = -1;
    std::vector<Index> point_of(network.node_elevation.size(), model::none);
    for (std::size_t point = 0; point < network.inlet_node.size(); ++point) {
        point_of[at(network.inlet_node[point])] = static_cast<Index>(point);
        point_of[at(network.outlet_node[point])] = static_cast<Index>(point);
    }
    for (std::size_t node = 0; node < imbalance.size(); ++node) {
        const double amount = std::abs(imbalance[node]);
        const double allowed = most_imbalance_share * largest[node] + most_imbalance;
        if (!(amount <= allowed)) balanced = false;
        closure.flow = std::max(closure.flow, amount);
        if (amount / allowed > worst_excess) {
            worst_excess = amount / allowed;
            closure.worst_point = point_of[node];
        }
    }
    closure.pressure = worst_height / network.metres_per_pascal;
    closure.solved = balanced && closure.pressure <= mismatch_limit;
    return closure;
}

}  // namespace evenhead::solver
