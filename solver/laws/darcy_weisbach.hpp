// Darcy-Weisbach friction of a pipe, with minor loss.
#pragma once

#include "solver/laws/law.hpp"

namespace evenhead::solver {

/// Darcy friction factor: 64/Re below Re 2000, Colebrook-White (solved to rounding) above 4000. Between them
/// the loss is the straight line in the flow that joins the two ends. `relative_roughness` = roughness /
/// bore. Re above 0.
double friction_factor(double reynolds, double relative_roughness);

class DarcyWeisbach final : public Law {
  public:
    /// Length, bore and roughness in m, kinematic viscosity in m2/s, `m` of the minor loss in m/(m3/s)^2.
    DarcyWeisbach(double length, double bore, double roughness, double kinematic_viscosity, double m);
    double loss(double q) const override;
    double slope(double q) const override;
    double flow(double D, double guess) const override;
    bool strict() const override { return a_ > 0; }

  private:
    struct Friction {
        double loss, slope;
    };
    Friction friction(double q) const;  // q >= 0
    double a_;                          // d = f a q^2
    double m_;
    double reynolds_per_flow_;
    double relative_roughness_;
    double laminar_, q2000_, q4000_, d2000_, between_;
};

}  // namespace evenhead::solver
