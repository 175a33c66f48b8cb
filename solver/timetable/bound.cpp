// What no timetable of a night can beat.
//
// Prices. Let x_S be the minutes that exactly the valves of set S are open. Every timetable gives each zone z
// its minutes,  sum of x_S over S with z  >=  T_z,  and lasts at least  sum of x_S.  The least of that over all
// real x >= 0 is a linear programme. Its dual gives each zone a price y_z >= 0 such that the prices of no
// allowed set sum to more than 1; then  sum y_z T_z  <=  sum_S x_S sum_{z in S} y_z  <=  sum x_S  for every
// timetable, whoever found the prices: that is what is printed, and can be added up again.
//
// A zone alone takes its cycles and soaks; zones of which no two may be open together wait for each other.
#include <coin/ClpSimplex.hpp>
#include <coin/CoinError.hpp>
#include <coin/CoinPackedMatrix.hpp>

#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/timetable/timetable_parts.hpp"
#include "solver/together/maximal_parts.hpp"

namespace evenhead::solver {
namespace {

/// Solves it; leaves minutes and prices empty where the library does not.
void solve(const NightZones& night, double for_each, FractionalNight& made) {
    std::vector<int> at_row, at_column;
    std::vector<double> values;
    for (std::size_t s = 0; s < made.sets.size(); ++s) {
        for (const Index zone : made.sets[s]) {
            at_row.push_back(zone);
            at_column.push_back(static_cast<int>(s));
            values.push_back(1);
        }
    }
    CoinPackedMatrix matrix(true, at_row.data(), at_column.data(), values.data(),
                            static_cast<CoinBigIndex>(values.size()));
    matrix.setDimensions(static_cast<int>(night.zones.size()), static_cast<int>(made.sets.size()));
    const std::vector<double> low(made.sets.size(), 0), high(made.sets.size(), COIN_DBL_MAX),
        row_high(night.zones.size(), COIN_DBL_MAX);
    std::vector<double> row_low, cost;
    for (const ValveSet& set : made.sets) cost.push_back(1 + for_each * static_cast<double>(set.size()));
    for (const ZoneTime& zone : night.zones) row_low.push_back(zone.minutes);
    ClpSimplex model;
    model.setLogLevel(0);
    model.loadProblem(matrix, low.data(), high.data(), cost.data(), row_low.data(), row_high.data());
    model.dual();
    if (model.status() != 0) return;
    made.minutes.assign(model.primalColumnSolution(), model.primalColumnSolution() + made.sets.size());
    made.price.assign(model.dualRowSolution(), model.dualRowSolution() + night.zones.size());
}

}  // namespace

FractionalNight fractional_night(const NightZones& night, double for_each) {
    FractionalNight made;
    const std::vector<char> largest = maximal_sets(night.allowed);
    for (std::size_t s = 0; s < night.allowed.size(); ++s)
        if (largest[s] != 0 || for_each > 0) made.sets.push_back(night.allowed[s]);
    try {
        solve(night, for_each, made);
    } catch (const CoinError&) {
        made.minutes.clear();
    }
    if (made.minutes.empty()) {  // prices that always hold, and no set to begin with
        made.minutes.assign(made.sets.size(), 0);
        made.price.assign(night.zones.size(), 0);
    }
    // Rounding of the library must not make a bound of it that is none.
    double most = 1;
    for (double& price : made.price) price = std::max(0.0, price);
    for (const ValveSet& set : made.sets) {
        double sum = 0;
        for (const Index zone : set) sum += made.price[at(zone)];
        most = std::max(most, sum);
    }
    for (double& price : made.price) price /= most;
    return made;
}

void bound_by_zones(const NightZones& night, NightBound& bound) {
    const std::size_t count = night.zones.size();
    for (std::size_t z = 0; z < count; ++z) {
        if (z > 0 && night.zones[z].least_span() <= bound.longest_span) continue;
        bound.longest = z;
        bound.longest_span = night.zones[z].least_span();
    }
    std::vector<char> together(count * count, 0);
    for (const ValveSet& set : night.allowed)
        for (const Index one : set)
            for (const Index other : set) together[at(one) * count + at(other)] = 1;
    std::vector<std::size_t> by_minutes(count);
    for (std::size_t z = 0; z < count; ++z) by_minutes[z] = z;
    std::stable_sort(by_minutes.begin(), by_minutes.end(), [&](std::size_t a, std::size_t b) {
        return night.zones[a].minutes > night.zones[b].minutes;
    });
    for (const std::size_t first : by_minutes) {  // from each zone on, the longest first
        std::vector<std::size_t> apart{first};
        int minutes = night.zones[first].minutes;
        for (const std::size_t other : by_minutes) {
            const bool with_none = std::none_of(apart.begin(), apart.end(), [&](std::size_t z) {
                return z == other || together[z * count + other] != 0;
            });
            if (!with_none) continue;
            apart.push_back(other);
            minutes += night.zones[other].minutes;
        }
        if (minutes <= bound.apart_minutes) continue;
        bound.apart_minutes = minutes;
        std::sort(apart.begin(), apart.end());
        bound.apart = std::move(apart);
    }
}

}  // namespace evenhead::solver
