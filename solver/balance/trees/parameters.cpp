#include "solver/balance/trees/parameters.hpp"

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

constexpr double another = std::numeric_limits<double>::quiet_NaN();

struct PowerTerms {
    double r = another, m = another;
};

PowerTerms terms_of(const Network& network, int element) {
    return {network.power_r[at(element)], network.power_m[at(element)]};
}

}  // namespace

Parameters set_parameters(const Network& network, const Structure& structure) {
    Parameters set;
    if (network.first_pipe > 0) set.datum = network.elements.front().fixed_height;
    const std::size_t places = structure.places();
    for (auto* column : {&set.r, &set.m, &set.orifice, &set.elevation, &set.nominal})
        column->resize(places, 0.0);
    for (std::size_t place = 0; place < places; ++place) {
        if (structure.element[place] >= 0) {
            const PowerTerms terms = terms_of(network, structure.element[place]);
            set.r[place] = terms.r;
            set.m[place] = terms.m;
        }
        if (structure.head[place] < 0) continue;
        const std::size_t head = at(structure.head[place]);
        set.orifice[place] = std::isnan(network.power_r[head]) ? another : network.power_m[head];
        set.elevation[place] = network.node_elevation[at(structure.node[place])] - set.datum;
        set.nominal[place] = network.nominal_flow[head - at(network.first_head)];
    }
    const std::size_t steps = structure.step_element.size();
    set.r_before.assign(steps + 1, 0.0);
    set.m_before.assign(steps + 1, 0.0);
    for (std::size_t step = 0; step < steps; ++step) {
        if (network.elements[at(structure.step_element[step])].one_way)
            set.one_way_elements.push_back(structure.step_element[step]);
        PowerTerms terms = terms_of(network, structure.step_element[step]);
        if (std::isnan(terms.r)) {
            set.other_steps.push_back(static_cast<int>(step));
            terms = {0, 0};
        }
        set.step_r.push_back(terms.r);
        set.step_m.push_back(terms.m);
        set.r_before[step + 1] = set.r_before[step] + terms.r;
        set.m_before[step + 1] = set.m_before[step] + terms.m;
    }
    return set;
}

}  // namespace evenhead::solver
