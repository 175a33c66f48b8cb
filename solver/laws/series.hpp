// Elements one behind the other that carry the same flow: their losses add up to one law.
#pragma once

#include <vector>

#include "solver/laws/law.hpp"

namespace evenhead::solver {

/// A chain of laws. Hazen-Williams and square laws among them are summed into one; the rest is searched
/// numerically. Where a chain may be level, a straight line of slope `level_slope` is added, so that its flow
/// always has one value.
class Series final : public Law {
  public:
    explicit Series(double level_slope) : level_slope_(level_slope) {}

    /// Adds a law that stays alive as long as the chain; `reversed`: the flow runs from its head to its tail.
    /// `cap`: the flow in the law's own direction may not pass this (m3/s).
    void add(const Law& law, bool reversed, double cap = infinity);

    /// Narrows the domain that its laws leave to at most `most` (m3/s) forward, or backward.
    void limit(bool backward, double most);
    /// Whether its laws, without the limit, let anything pass forward, or backward.
    bool passes(bool backward) const { return backward ? lowest_ < 0 : highest_ > 0; }

    double loss(double q) const override;
    double slope(double q) const override;
    double flow(double D, double guess) const override;
    LossRange losses(double q) const override;
    bool strict() const override { return true; }

  private:
    struct Part {
        const Law* law;
        bool reversed;
    };
    bool never_level() const;  // its flow has a closed form that needs no straight line
    double level_slope() const { return never_level() ? 0 : level_slope_; }
    PowerLaw power_{0, 0, false};  // all power laws together
    std::vector<Part> others_;
    double level_slope_;
    double lowest_ = -infinity, highest_ = infinity;  // the domain that the laws leave
};

}  // namespace evenhead::solver
