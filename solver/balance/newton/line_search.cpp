#include <algorithm>
#include <cmath>

#include "solver/balance/newton/iterate.hpp"

namespace evenhead::solver {
namespace {

constexpr double search_share = 0.3;  // a step is long enough where the derivative has fallen to this share

// The chain's flow at H + t dH. Where the curve is so steep in the height that the last digits of heights do
// not tell the flow, the chord's does as well.
double flow_along(const Iterate& it, std::size_t c, double t, double dD) {
    const Series& law = it.reduction.laws[c];
    const double D = it.at_height[c] + t * dD;
    const double by_chord = it.at_flow[c] + t * (it.flow[c] - it.at_flow[c]);
    if (law.low() <= by_chord && by_chord <= law.high() && off_curve(law, by_chord, D) <= blur)
        return by_chord;
    return law.flow(D, by_chord);
}

// dF/dt at H + t dH.
double derivative(const Iterate& it, const std::vector<int>& chains, double t) {
    double sum = 0;
    for (const int c : chains) {
        const double dD = it.change_along(at(c));
        if (dD != 0) sum += flow_along(it, at(c), t, dD) * dD;
    }
    return sum;
}

}  // namespace

double step_length(const Iterate& it, const std::vector<int>& chains) {
    // `rounding`: what the last digits of the heights make of the flows, and so of the derivative.
    double start = 0, rounding = 0;
    for (const int chain : chains) {
        const std::size_t c = at(chain);
        const double dD = it.change_along(c);
        start += it.at_flow[c] * dD;
        rounding +=
            (1e-12 * std::abs(it.at_flow[c]) + 1e-15 * it.largest_height / it.slope[c]) * std::abs(dD);
    }
    if (!(start < -rounding)) return 1;
    const double bound = rounding - search_share * start;
    double right = 1, right_value = derivative(it, chains, 1);
    if (right_value <= bound) return 1;
    double left = 0, left_value = start;
    for (int i = 0; i < 40; ++i) {
        // False position, kept away from the ends; halving where it creeps.
        const double share = std::clamp(-left_value / (right_value - left_value), 0.02, 0.98);
        const double t = left + (i % 3 == 2 ? 0.5 : share) * (right - left);
        const double value = derivative(it, chains, t);
        if (std::abs(value) <= bound) return t;
        (value > 0 ? right : left) = t;
        (value > 0 ? right_value : left_value) = value;
    }
    return left > 0 ? left : right;
}

}  // namespace evenhead::solver
