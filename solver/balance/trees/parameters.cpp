#include "solver/balance/trees/parameters.hpp"

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

constexpr double another = std::numeric_limits<double>::quiet_NaN();

struct PowerTerms {
    double r = another, m = another;
};

PowerTerms terms_of(const Element& element) {
    const auto* law = element.regulates() ? nullptr : element.law->power();
    return law == nullptr ? PowerTerms{} : PowerTerms{law->r(), law->m()};
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
            const PowerTerms terms = terms_of(network.elements[at(structure.element[place])]);
            set.r[place] = terms.r;
            set.m[place] = terms.m;
        }
        if (structure.head[place] < 0) continue;
        const auto head = at(structure.head[place] - network.first_head);
        set.orifice[place] = network.head_laws[head]->orifice().value_or(another);
        set.elevation[place] = network.elements[at(structure.head[place])].fixed_height - set.datum;
        set.nominal[place] = network.nominal_flow[head];
    }
    const std::size_t steps = structure.step_element.size();
    set.r_before.assign(steps + 1, 0.0);
    set.m_before.assign(steps + 1, 0.0);
    for (std::size_t step = 0; step < steps; ++step) {
        PowerTerms terms = terms_of(network.elements[at(structure.step_element[step])]);
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
