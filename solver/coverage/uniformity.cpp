#include "solver/coverage/uniformity.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace evenhead::solver {

Uniformity uniformity(std::vector<Depth> depths) {
    constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    double weight = 0, water = 0;
    for (const Depth& place : depths) {
        weight += place.weight;
        water += place.weight * place.depth;
    }
    if (!(weight > 0) || !(water > 0)) return {weight > 0 ? water / weight : unknown, unknown, unknown};
    const double mean = water / weight;

    double strays = 0;
    for (const Depth& place : depths) strays += place.weight * std::abs(place.depth - mean);

    std::sort(depths.begin(), depths.end(),
              [](const Depth& one, const Depth& other) { return one.depth < other.depth; });
    const double quarter = weight / 4;
    double taken = 0, low_water = 0;
    for (const Depth& place : depths) {
        const double part = std::min(place.weight, quarter - taken);
        if (!(part > 0)) break;
        taken += part;
        low_water += part * place.depth;
    }
    return {mean, low_water / quarter / mean, 1 - strays / water};
}

}  // namespace evenhead::solver
