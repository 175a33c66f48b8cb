// What no timetable of a night can beat.
//
// Prices. Let x_S be the minutes that exactly the valves of set S are open. Every timetable gives each zone z
// its minutes,  sum of x_S over S with z  =  T_z,  and lasts at least  sum of x_S.  The least of that over
// all real x >= 0 is a linear programme. Its dual gives each zone a price y_z (below 0 where company is
// scarce: some sets are allowed only with a zone more) such that the prices of no allowed set sum to more
// than 1; then sum y_z T_z  =  sum_S x_S sum_{z in S} y_z  <=  sum x_S  for every timetable, whoever found
// the prices: that is what is printed, and can be added up again. Where zones may get more than T_z, the
// programme asks for at least that, and no price is below 0.
//
// There are many sets and few of them matter: the programme begins with those that no other holds, or with
// those that mattered to other prices, and takes in whose prices sum to more than 1 until none is left. A
// zone may be served for `dear` instead, so that there is always an answer; where that is used, there is no
// timetable of exactly these minutes.
//
// A zone alone takes its cycles and soaks; zones of which no two may be open together wait for each other.
#include <coin/ClpSimplex.hpp>
#include <coin/CoinError.hpp>
#include <coin/CoinPackedMatrix.hpp>

#include <algorithm>
#include <cmath>
#include <unordered_set>

#include "model/position.hpp"
#include "solver/timetable/timetable_parts.hpp"
#include "solver/together/maximal_parts.hpp"

namespace evenhead::solver {
namespace {

constexpr double dear = 1000;        // what a minute of a zone costs outside every set
constexpr double as_good_as = 1e-7;  // of a price: rounding of the library

double priced(const ValveSet& set, const std::vector<double>& price) {
    double sum = 0;
    for (const Index zone : set) sum += price[at(zone)];
    return sum;
}

/// The programme over some of the sets; false where the library has no answer.
bool solve(const NightZones& night, double for_each, FractionalNight& made) {
    const std::size_t zones = night.zones.size(), columns = made.sets.size() + zones;
    std::vector<int> at_row, at_column;
    std::vector<double> values, cost, row_low, row_high;
    const auto enter = [&](std::size_t row, std::size_t column) {
        at_row.push_back(static_cast<int>(row));
        at_column.push_back(static_cast<int>(column));
        values.push_back(1);
    };
    for (std::size_t s = 0; s < made.sets.size(); ++s) {
        for (const Index zone : made.sets[s]) enter(at(zone), s);
        cost.push_back(1 + for_each * static_cast<double>(made.sets[s].size()));
    }
    for (std::size_t z = 0; z < zones; ++z) {
        enter(z, made.sets.size() + z);
        cost.push_back(dear);
        row_low.push_back(night.zones[z].minutes);
        row_high.push_back(made.exact ? night.zones[z].minutes : COIN_DBL_MAX);
    }
    CoinPackedMatrix matrix(true, at_row.data(), at_column.data(), values.data(),
                            static_cast<CoinBigIndex>(values.size()));
    matrix.setDimensions(static_cast<int>(zones), static_cast<int>(columns));
    const std::vector<double> low(columns, 0), high(columns, COIN_DBL_MAX);
    ClpSimplex model;
    model.setLogLevel(0);
    model.loadProblem(matrix, low.data(), high.data(), cost.data(), row_low.data(), row_high.data());
    model.primal();
    if (model.status() != 0) return false;
    const double* minutes = model.primalColumnSolution();
    made.minutes.assign(minutes, minutes + made.sets.size());
    made.price.assign(model.dualRowSolution(), model.dualRowSolution() + zones);
    made.served = std::all_of(minutes + made.sets.size(), minutes + columns,
                              [](double outside) { return outside < 1e-6; });
    return true;
}

using Taken = std::unordered_set<ValveSet, ValveSetHash>;

/// Takes in the sets that are worth most more than they cost, some for each zone; false where none is.
bool take_in(const NightZones& night, double for_each, Taken& taken, FractionalNight& made) {
    constexpr int for_zone = 12;
    std::vector<std::pair<double, std::size_t>> worth;
    for (std::size_t s = 0; s < night.allowed.size(); ++s) {
        const double cost = 1 + for_each * static_cast<double>(night.allowed[s].size());
        const double excess = priced(night.allowed[s], made.price) - cost;
        if (excess > as_good_as) worth.emplace_back(-excess, s);
    }
    std::sort(worth.begin(), worth.end());
    std::vector<int> of_zone(night.zones.size(), 0);
    bool more = false;
    for (const auto& [excess, s] : worth) {
        const ValveSet& set = night.allowed[s];
        const bool wanted =
            std::any_of(set.begin(), set.end(), [&](Index zone) { return of_zone[at(zone)] < for_zone; });
        if (!wanted || !taken.insert(set).second) continue;
        for (const Index zone : set) ++of_zone[at(zone)];
        made.sets.push_back(set);
        more = true;
    }
    return more;
}

}  // namespace

FractionalNight fractional_night(const NightZones& night, bool exact, double for_each,
                                 const std::vector<ValveSet>& first) {
    FractionalNight made;
    made.exact = exact;
    made.sets = first;
    if (first.empty()) {
        const std::vector<char> largest = maximal_sets(night.allowed);
        for (std::size_t s = 0; s < night.allowed.size(); ++s)
            if (largest[s] != 0) made.sets.push_back(night.allowed[s]);
    }
    Taken taken(made.sets.begin(), made.sets.end());
    bool solved = true;
    try {
        do solved = solve(night, for_each, made);
        while (solved && take_in(night, for_each, taken, made));
    } catch (const CoinError&) {
        solved = false;
    }
    if (!solved) {  // prices that always hold, and no set to begin with
        made.minutes.assign(made.sets.size(), 0);
        made.price.assign(night.zones.size(), 0);
        made.served = false;
    }
    // Rounding of the library must not make a bound of it that is none.
    double most = 1;
    for (double& price : made.price)
        if (!exact) price = std::max(0.0, price);
    for (const ValveSet& set : night.allowed) most = std::max(most, priced(set, made.price));
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
    for (const auto* sets : {&night.allowed, &night.perhaps})
        for (const ValveSet& set : *sets)
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
