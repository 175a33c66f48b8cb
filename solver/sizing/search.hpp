// Looks for cheap designs that keep the limits. Nothing here proves anything: see enumeration.hpp, tree_*.hpp
// and loop_bound.hpp for that.
#pragma once

#include <atomic>
#include <functional>
#include <optional>

#include "solver/sizing/trial.hpp"

namespace evenhead::solver {

struct Found {
    Design design;
    double cost = infinity;  ///< infinite: nothing that keeps the limits
};

/// Told now and then; false stops the search.
using KeepGoing = std::function<bool(double best_cost)>;

struct SearchOptions {
    unsigned seed = 1;
    long balances = 0;  ///< work: runs balanced, of all starts together
    int threads = 1;
    Design from;           ///< a design to begin from in every other start; empty: the largest choices
    KeepGoing keep_going;  ///< may be empty; called from any thread
};

struct SearchResult {
    Found best;           ///< passes every rule
    Design least_excess;  ///< where nothing passes: the design that misses the limits least
    double excess = infinity;
    long balances = 0;
    bool stopped = false;
};

/// Several seeded starts, each simulated annealing with a price on what is outside the limits that rises and
/// falls until the search keeps to their edge, then exchanges: one pipe a size up, others down, as long as
/// that saves. The same options give the same answer on any number of threads.
SearchResult search_designs(const TrialBasis& basis, const SearchOptions& options);

/// Every pipe as large as its choices and its feeder let it be.
Design largest_choices(const SizingProblem& problem);

/// Makes `choice` of a pipe possible: pipes that it feeds come down to it, those that feed it go up. Every
/// pipe changed is in `changed`; false where a fixed pipe forbids it.
bool change_telescoping(const SizingProblem& problem, Design& design, std::size_t open_pipe, int choice,
                        std::vector<std::size_t>& changed);

}  // namespace evenhead::solver
