// The law of a nozzle, and of a head: swing joint and body, regulation, nozzle.
#pragma once

#include <optional>

#include "solver/laws/chart.hpp"
#include "solver/laws/law.hpp"

namespace evenhead::solver {

/// Flow of a nozzle over the gauge pressure p at it (m of water). One row: q = Q (p/P)^x for p > 0, none
/// below; x = 0 is a constant draw. More rows: straight in log p, log q between neighbouring rows, exponent
/// 0.5 outside them.
class NozzleCurve {
  public:
    /// Rows: pressure (m, rising, above 0) and flow (m3/s, above 0, never falling); `exponent` counts with
    /// one row only.
    NozzleCurve(Rows pressure_and_flow, double exponent);
    double flow(double p) const;
    /// dq/dp.
    double flow_slope(double p) const;
    /// The pressures at which q flows; below the flow of a constant draw: {0, 0}.
    LossRange pressures(double q) const;
    bool constant_draw() const { return rows_.size() == 1 && exponents_.front() == 0; }
    double full_flow() const { return rows_.front().second; }  ///< of a constant draw
    /// P/Q^2 of an orifice: one row and exponent 0.5.
    std::optional<double> orifice() const;
    /// Where p = exp(n log q + c) from the flow `low` up to `high`; n is infinite on a level stretch.
    struct Stretch {
        double n, c, low, high;
    };
    /// The stretch that holds q > 0.
    const Stretch& stretch(double q) const;

  private:
    Rows rows_;
    std::vector<double>
        exponents_;  // below the first row, between rows, above the last (one row: the same twice)
    std::vector<Stretch> stretches_;  // likewise
};

/// A head from the lateral below it to the air: D is the gauge pressure in the lateral at the head's
/// elevation (m). With p the pressure at the body's outlet, D = p + m q^2, and the nozzle sees min(p, set).
class HeadLaw final : public Law {
  public:
    HeadLaw(NozzleCurve nozzle, double joint_resistance, std::optional<double> set);
    double loss(double q) const override;
    double slope(double q) const override;
    double flow(double D, double guess) const override;
    LossRange losses(double q) const override;
    bool strict() const override { return !nozzle_.constant_draw() || m_ > 0; }

    /// a where D = a q^2 (m/(m3/s)^2): one row, exponent 0.5, not regulated.
    std::optional<double> orifice() const;
    /// The tangent of q(D) at D: its flow, and its slope dq/dD (0 on a level stretch).
    std::pair<double, double> tangent(double D, double guess) const;

    /// Gauge pressure at the nozzle (m) with D in the lateral and q = flow(D).
    double nozzle_pressure(double D, double q) const;
    bool holding(double D) const;  ///< the regulation holds the nozzle at its set pressure
    const NozzleCurve& nozzle() const { return nozzle_; }
    double joint_resistance() const { return m_; }
    const std::optional<double>& set() const { return set_; }  ///< m; empty: not regulated

  private:
    NozzleCurve nozzle_;
    double m_;
    std::optional<double> set_;
};

}  // namespace evenhead::solver
