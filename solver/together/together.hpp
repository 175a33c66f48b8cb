// Which valves may be open at once: sets of valves, each balanced and judged by every rule.
//
// A set is allowed where it is solved and no rule fails, and blocked otherwise; nothing is said of a set that
// was not balanced. Two ways through them:
//
// - Every set, where there are no more than `most` of them. Then nothing is presumed.
// - Else size by size: a set is tried where none of its subsets, one valve smaller, is blocked. That leaves
//   out what holds a blocked set, since one more open valve only takes pressure from the others. Where a set
//   is blocked by nothing but too much pressure, or too fast water in pipes of one valve alone, one more
//   valve may mend it: such sets grow on. Where `most` ends this, large sets are looked for valve by valve
//   with what is left.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "solver/balance/result.hpp"
#include "solver/rules/rules.hpp"

namespace evenhead::solver {

using ValveSet = std::vector<Index>;  ///< rising positions

struct BlockedSet {
    ValveSet valves;
    /// That fail: the worst of each rule, worst first. Of rules on surge only where nothing else fails.
    std::vector<Finding> findings;
    std::vector<std::size_t> alike;  ///< by finding: how many of its rule fail
    std::optional<Failure> failure;  ///< where it has no proven solution
};

/// What a pipe of the mainline carries at most.
struct BranchFlow {
    Index pipe = model::none;
    double flow = 0;      ///< m3/s, the greatest in any allowed set, no sign
    double velocity = 0;  ///< m/s
    ValveSet valves;      ///< the set that does it; empty where none sends anything
};

struct TogetherOptions {
    int threads = 0;            ///< 0: as many as the machine has
    long most = 50000;          ///< sets to balance
    bool findings = true;       ///< keep the blocked sets
    bool sets = true;           ///< find `sets` even where the search is not complete
    std::vector<Index> valves;  ///< only these, rising; empty: every valve
    /// Called now and then with how many sets are tried and how many valves those of now have.
    std::function<void(std::size_t tried, std::size_t valves)> progress;
};

struct Together {
    std::vector<ValveSet> sets;        ///< allowed, and no larger set tried that holds it is; largest first
    std::vector<double> flows;         ///< by set: m3/s of all heads
    std::size_t largest = 0;           ///< valves in the largest allowed set
    std::vector<Index> never;          ///< valves in no allowed set
    std::vector<BlockedSet> blocked;   ///< that hold no smaller blocked set; worst first
    std::vector<BranchFlow> branches;  ///< every pipe of the mainline, in the order of the file
    std::vector<ValveSet> allowed;     ///< every allowed set: by size, then in the order of the file
    std::vector<ValveSet> too_high;    ///< blocked by what one more valve may mend
    std::size_t tried = 0;
    bool every = false;           ///< every set there is was tried
    std::size_t whole_to = 0;     ///< up to so many valves, every set that holds no blocked one was tried
    bool complete = false;        ///< the same whatever the size
    bool alone_unsolved = false;  ///< some valve alone has no proven solution
};

/// Throws what building the network throws.
Together find_together(const model::System& system, const model::Layout& layout,
                       const TogetherOptions& options);

/// Sets of valves as keys.
struct ValveSetHash {
    std::size_t operator()(const ValveSet& set) const {
        std::size_t hash = 1469598103934665603U;
        for (const Index valve : set) hash = (hash ^ static_cast<std::size_t>(valve)) * 1099511628211U;
        return hash;
    }
};

}  // namespace evenhead::solver
