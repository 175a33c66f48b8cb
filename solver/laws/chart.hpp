// Losses read from charts, supplies from flow tests, pumps from their curves.
#pragma once

#include <span>
#include <utility>
#include <vector>

#include "solver/laws/law.hpp"
#include "solver/laws/monotone_cubic.hpp"

namespace evenhead::solver {

/// Rows of a chart: flow m3/s (rising) and loss, pressure or rise as m of water.
using Rows = std::vector<std::pair<double, double>>;

/// Loss chart of a device or valve. One row: square law through it, with a row at flow 0 (loss L0) L0 + (L1 -
/// L0) (q/q1)^2. More rows: monotone cubic through them and, unless one is at flow 0, through (0, 0); beyond
/// the last row L0 + (Ln - L0) (q/qn)^2. Nothing passes below L0. A dip counts as the highest loss so far.
/// Odd in q unless one-way.
class LossChart final : public Law {
  public:
    LossChart(const Rows& rows, bool one_way);
    double loss(double q) const override;
    double slope(double q) const override;
    LossRange losses(double q) const override;

  private:
    double loss0_ = 0;                   // L0
    double last_flow_ = 0, beyond_ = 0;  // (Ln - L0) / qn^2
    MonotoneCubic cubic_;                // empty: the square law from the start
    bool has_cubic_ = false;
};

/// What a supply loses from its static pressure: with u = |q|^1.852 straight in u between successive flow
/// tests, the last stretch continuing; odd about static. One test: (static - residual) (q/q_t)^1.852, the
/// flow-test practice with exponent 1/0.54. Rows: flow m3/s and static - residual as m, both rising, if
/// only by rounding.
class FlowTests final : public Law {
  public:
    explicit FlowTests(const Rows& drops);
    double loss(double q) const override;
    double slope(double q) const override;
    double flow(double D, double guess) const override;
    bool strict() const override { return strict_; }

  private:
    std::vector<double> u_, drop_;  // from (0, 0)
    bool strict_ = true;            // no stretch is as good as level
};

/// A pump: d = -rise. Monotone cubic through the rows, beyond its ends straight with the slope of the first
/// or last secant (one row: the same rise at any flow); no flow back.
class PumpLaw final : public Law {
  public:
    explicit PumpLaw(const Rows& rises);
    double loss(double q) const override;
    double slope(double q) const override;

  private:
    MonotoneCubic cubic_;  // of -rise
    double first_secant_ = 0, last_secant_ = 0;
};

}  // namespace evenhead::solver
