// The numbers of a network's laws in the order of its structure. Set once for a system; a change of a law
// costs a new set, not a new structure.
#pragma once

#include <vector>

#include "solver/balance/trees/structure.hpp"

namespace evenhead::solver {

struct Parameters {
    double datum = 0;  ///< m: heights are counted from here, so that they keep their digits

    // By place: the element to the parent, and the head.
    std::vector<double> r, m;       ///< r not a number: no power law, or a regulator
    std::vector<double> orifice;    ///< m/(m3/s)^2: D = orifice q^2; not a number: another law
    std::vector<double> elevation;  ///< m over the datum
    std::vector<double> nominal;    ///< m3/s; 0: no head

    // By step of the core's chains.
    std::vector<double> step_r, step_m;      ///< 0 where it is another law
    std::vector<double> r_before, m_before;  ///< sums over the steps before; one more at the end
    std::vector<int> one_way_elements;       ///< of the core
    std::vector<int> other_steps;            ///< with another law, rising
};

Parameters set_parameters(const Network& network, const Structure& structure);

}  // namespace evenhead::solver
