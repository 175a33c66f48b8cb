// The answer of `size`: the sizes of the open pipes at the least cost that was found, how far from the least
// cost they can still be, what binds where, and what each limit costs.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "solver/rules/rules.hpp"
#include "solver/sizing/problem.hpp"

namespace evenhead::solver {

struct SizingProgress {
    double best = 0;   ///< cost; infinite while nothing is found
    double bound = 0;  ///< no design costs less; 0 while nothing is known
};

struct SizingOptions {
    unsigned seed = 1;
    long evaluations = 0;      ///< runs balanced by the search; 0: by the size of the problem
    double time = 0;           ///< s; 0: as long as it takes
    int threads = 0;           ///< 0: as many as the machine has
    bool limit_prices = true;  ///< also find what moved limits would save
    bool bounds = true;        ///< else looped parts are searched only, not bounded from below
    Design from;               ///< a design that the search may begin from; empty: none
    /// Called now and then, from any thread but never from two at once; false stops the work early.
    std::function<bool(const SizingProgress&)> progress;
};

/// A limit that keeps a pipe from its next cheaper size.
struct Binding {
    RuleId rule = RuleId::head_pressure;
    ElementRef subject;
    Index run = model::none;        ///< none: a rule of the whole system
    Index condition = model::none;  ///< none: the case as given
    bool upper = false;
    double margin =
        0;  ///< of the design as sized, in the rule's own SI unit; NaN: not measured by one number
    model::Dimension dimension = model::Dimension::none;
    std::vector<Index> pipes;  ///< that it keeps from their next cheaper size
};

/// What the sizes would cost with one limit moved.
struct LimitPrice {
    enum class Limit { critical_head, velocity } limit = Limit::critical_head;
    Index head = model::none;  ///< of critical_head
    double moved = 0;          ///< by so much: Pa or m/s
    double to = 0;             ///< the limit moved to: Pa or m/s
    double cost = 0;
    double saving = 0;
    bool proven = false;  ///< that cost is the least; else it saves at least so much
};

struct Sizing {
    Design design;
    bool found = false;    ///< `design` passes every rule; else it is the one that misses the limits least
    bool proven = false;   ///< nothing costs less (or, not found: nothing passes)
    bool stopped = false;  ///< by time or by whoever asked
    double cost = 0;       ///< of the open pipes; money, or m3 of wall
    double smallest = 0;   ///< cost of the open pipes at their cheapest sizes
    /// No design costs less; no more than `smallest` where nothing better is known.
    double bound = 0;
    std::vector<Binding> binding;
    std::vector<LimitPrice> limit_prices;
    long evaluations = 0;  ///< runs balanced

    bool bounded() const { return bound > smallest * (1 + 1e-12); }
    double gap() const { return cost > bound ? (cost - bound) / cost : 0; }
};

/// Sizes the open pipes of the problem. Throws nothing of its own.
Sizing size_pipes(const SizingProblem& problem, const SizingOptions& options);

}  // namespace evenhead::solver
