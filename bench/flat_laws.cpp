#include "bench/flat_laws.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "bench/drawing.hpp"

namespace evenhead::bench {

using solver::Element;
using solver::Network;

FlatLaws::FlatLaws(const model::System& system, const Network& network)
    : network_(network), r_(network.elements.size(), 0.0), m_(network.elements.size(), 0.0) {
    add_nozzles(system);
    for (int e = 0; e < network.first_head; ++e) {
        if (const auto* power = dynamic_cast<const solver::PowerLaw*>(network.elements[at(e)].law)) {
            r_[at(e)] = power->r();
            m_[at(e)] = power->m();
        } else {
            others_.push_back(e);
        }
    }
    for (std::size_t h = 0; h < system.heads.size(); ++h) {
        const int e = network.first_head + static_cast<int>(h);
        const std::size_t nozzle = at(system.heads[h].nozzle);
        m_[at(e)] = network.head_laws[h]->joint_resistance();
        if (system.heads[h].set) {
            others_.push_back(e);
        } else if (square_[nozzle] > 0) {
            m_[at(e)] += square_[nozzle];
        } else if (first_stretch_[nozzle] >= 0) {
            charted_.push_back({e, first_stretch_[nozzle]});
        } else {
            others_.push_back(e);
        }
    }
}

// The law of the case format: straight in log p, log q between rows, exponent 0.5 outside them; one row has
// its own.
void FlatLaws::add_nozzles(const model::System& system) {
    for (const model::Nozzle& nozzle : system.nozzles) {
        const auto pressure = [&](std::size_t i) {
            return nozzle.rows[i].at.value * network_.metres_per_pascal;
        };
        const auto flow = [&](std::size_t i) { return nozzle.rows[i].value.value; };
        const std::size_t rows = nozzle.rows.size();
        const bool square = rows == 1 && nozzle.exponent == 0.5;
        square_.push_back(square ? pressure(0) / (flow(0) * flow(0)) : 0.0);
        first_stretch_.push_back(-1);
        if (square) continue;
        const int first = static_cast<int>(stretches_.size());
        const double outside = rows == 1 ? nozzle.exponent : 0.5;
        stretches_.push_back({pressure(0), flow(0), outside, flow(0)});
        for (std::size_t i = 0; i + 1 < rows; ++i) {
            const double x = std::log(flow(i + 1) / flow(i)) / std::log(pressure(i + 1) / pressure(i));
            stretches_.push_back({pressure(i), flow(i), x, flow(i + 1)});
        }
        stretches_.push_back({pressure(rows - 1), flow(rows - 1), outside, solver::infinity});
        const bool rising = std::all_of(stretches_.begin() + first, stretches_.end(),
                                        [](const Stretch& stretch) { return stretch.x > 0; });
        if (rising) {
            first_stretch_.back() = first;
        } else {
            stretches_.resize(at(first));
        }
    }
}

void FlatLaws::evaluate_charted(const double* flow, double* loss, double* slope) const {
    for (const Charted& head : charted_) {
        const std::size_t e = at(head.element);
        const double q = flow[e], a = std::abs(q);
        std::size_t i = at(head.first);
        while (a > stretches_[i].end) ++i;
        const Stretch& on = stretches_[i];
        const double p = on.P * std::pow(a / on.Q, 1 / on.x);
        loss[e] += std::copysign(p, q);
        slope[e] += a > 0 ? p / (on.x * a) : 0;
    }
}

void FlatLaws::evaluate(const double* flow, double* loss, double* slope) const {
    for (std::size_t e = 0; e < r_.size(); ++e) {
        const double q = flow[e], a = std::abs(q);
        const double friction = r_[e] > 0 ? r_[e] * std::pow(a, 0.852) : 0.0;
        loss[e] = (friction + m_[e] * a) * q;
        slope[e] = std::max(1.852 * friction + 2 * m_[e] * a, least_slope);
    }
    evaluate_charted(flow, loss, slope);
    for (const int other : others_) {
        const std::size_t e = at(other);
        const solver::Law& law = *network_.elements[e].law;
        const bool head = other >= network_.first_head;
        const double q = head ? std::abs(flow[e]) : flow[e];
        loss[e] = head ? std::copysign(law.loss(q), flow[e]) : law.loss(q);
        slope[e] = std::max(law.slope(q), least_slope);
    }
}

Reach find_reach(const Network& network, const std::vector<char>& open) {
    Reach reach;
    const std::size_t nodes = network.node_elevation.size();
    reach.reached.assign(nodes, 0);
    reach.arrival.assign(nodes, -1);
    reach.order.reserve(nodes);
    const auto arrive = [&](int node, int by) {
        if (node == solver::fixed || reach.reached[at(node)]) return;
        reach.reached[at(node)] = 1;
        reach.arrival[at(node)] = by;
        reach.order.push_back(node);
    };
    for (int e = 0; e < network.first_pipe; ++e) arrive(network.elements[at(e)].head, e);
    for (std::size_t i = 0; i < reach.order.size(); ++i) {
        const int node = reach.order[i];
        for (int l = network.link_start[at(node)]; l < network.link_start[at(node) + 1]; ++l) {
            const int e = network.links[at(l)];
            const Element& element = network.elements[at(e)];
            if (open[at(e)]) arrive(element.tail == node ? element.head : element.tail, e);
        }
    }
    reach.active.resize(network.elements.size());
    const auto there = [&](int node) { return node == solver::fixed || reach.reached[at(node)]; };
    for (std::size_t e = 0; e < reach.active.size(); ++e)
        reach.active[e] = open[e] && there(network.elements[e].tail) && there(network.elements[e].head);
    return reach;
}

std::vector<double> nominal_flows(const Network& network, const Reach& reach) {
    std::vector<double> flow(network.elements.size(), 0.0), passing(network.node_elevation.size(), 0.0);
    for (std::size_t h = 0; h < network.nominal_flow.size(); ++h) {
        const std::size_t e = at(network.first_head) + h;
        if (!reach.active[e]) continue;
        flow[e] = network.nominal_flow[h];
        passing[at(network.elements[e].tail)] += flow[e];
    }
    for (std::size_t i = reach.order.size(); i-- > 0;) {
        const int node = reach.order[i], e = reach.arrival[at(node)];
        const Element& element = network.elements[at(e)];
        const bool forward = element.head == node;
        const double through = passing[at(node)];
        flow[at(e)] = forward ? through : -through;
        const int above = forward ? element.tail : element.head;
        if (above != solver::fixed) passing[at(above)] += through;
    }
    return flow;
}

std::vector<double> nozzle_pressures(const Network& network, const std::vector<char>& active,
                                     const std::vector<double>& height, const std::vector<double>& flow) {
    std::vector<double> pressure;
    pressure.reserve(network.head_laws.size());
    for (std::size_t h = 0; h < network.head_laws.size(); ++h) {
        const std::size_t e = at(network.first_head) + h;
        const Element& element = network.elements[e];
        if (!active[e]) {
            pressure.push_back(std::numeric_limits<double>::quiet_NaN());
            continue;
        }
        const double above_air = height[at(element.tail)] - element.fixed_height;
        pressure.push_back(network.head_laws[h]->nozzle_pressure(above_air, flow[e]) /
                           network.metres_per_pascal / psi);
    }
    return pressure;
}

}  // namespace evenhead::bench
