// A balanced run, replaced by its tangents: what the pressure at a nozzle gains when any one law of the run
// gives way a little.
#pragma once

#include <memory>
#include <vector>

#include "solver/balance/state.hpp"
#include "solver/network/network.hpp"

namespace evenhead::solver {

/// How an element takes part in the balance at hand.
enum class Stance : char {
    out,      ///< nothing passes, and nothing hangs on it
    curve,    ///< inlet - outlet = its loss at its flow
    upright,  ///< its flow is given: a constant draw, a regulated head, what is shut
    holding,  ///< its outlet stands at its set height
};

class Tangents {
  public:
    /// Factorises the tangents of all laws at a solved state: near-linear in what the run concerns where it
    /// has few loops.
    Tangents(const Network& network, const State& state);
    ~Tangents();
    Tangents(const Tangents&) = delete;
    Tangents& operator=(const Tangents&) = delete;

    /// False where the tangents do not determine the run (still water in a ring of what loses nothing).
    bool regular() const;
    /// Elements that take part, rising.
    const std::vector<int>& elements() const;
    Stance stance(int element) const;
    double flow(int element) const;  ///< m3/s

    /// What the height at a running head's nozzle (m of water, gauge) gains, by element of elements(), for
    ///   curve    1 m more loss at the same flow
    ///   upright  1 m3/s more flow
    ///   holding  1 m more set height
    /// the head's own law included but for what its swing joint and set pressure change beside it.
    /// One solve. Empty where the head does not run.
    std::vector<double> weights(Index head) const;
    /// True where the head's regulation holds: its nozzle then stands at its set pressure.
    bool holds(Index head) const;

  private:
    struct System;
    std::unique_ptr<System> system_;
    const Network& net_;
    const State& state_;
};

}  // namespace evenhead::solver
