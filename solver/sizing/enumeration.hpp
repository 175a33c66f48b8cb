// Small problems: every design in the order of cost, until one keeps every rule. What comes before it does
// not, so nothing cheaper exists.
#pragma once

#include "solver/sizing/search.hpp"

namespace evenhead::solver {

/// The most designs, times runs, that are gone through.
inline constexpr double most_enumerated = 400'000;

struct Enumerated {
    bool done = false;  ///< `best` is the cheapest of all; where it has none, no design keeps the limits
    Found best;
    Design least_excess;  ///< where nothing passes
    long balances = 0;
    double bound = 0;  ///< where stopped early: no design costs less
};

/// `most`: designs that cost more are not looked at (a design of that cost is known).
Enumerated enumerate_designs(const TrialBasis& basis, double most, int threads, const KeepGoing& keep_going);

}  // namespace evenhead::solver
