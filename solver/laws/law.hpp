// The law of an element: how much height of water it takes from a flow.
//
// With q the flow from an element's tail to its head and d(q) the height that it takes, every law is a
// never-falling curve in the plane of flow and loss. It may be upright at either end of its domain [low,
// high] (a one-way element at q = 0, a regulated head at its regulated flow), upright at q = 0 (a spring that
// opens only above a loss), and level over some flows (an element that loses nothing, a flat stretch of a
// chart).
#pragma once

#include <limits>
#include <memory>

namespace evenhead::solver {

inline constexpr double infinity = std::numeric_limits<double>::infinity();

/// A range of losses: one number where the curve is a function of the flow, a range where it stands upright.
struct LossRange {
    double low, high;  ///< m
};

class PowerLaw;

class Law {
  public:
    virtual ~Law() = default;

    /// d(q), m of water, at a flow (m3/s) inside the domain. Where the curve is upright at q: the end nearest
    /// to 0 for q = 0 in the middle of the domain, else the end towards the inside of the domain.
    virtual double loss(double q) const = 0;
    /// d'(q), s/m2: never negative, 0 on level stretches, infinite at an upright inside the domain.
    virtual double slope(double q) const = 0;
    /// The flow at which the curve takes the height D, clamped to the domain: the inverse of loss. On a level
    /// stretch any flow of the stretch; `guess` (m3/s) chooses and speeds up the search.
    virtual double flow(double D, double guess) const;
    /// Every loss that belongs to q, by the curve itself.
    virtual LossRange losses(double q) const;
    /// True where the curve has no level stretch, so that flow(D) has one value everywhere.
    virtual bool strict() const { return false; }
    /// This law, where it is a power law: many of them are computed at once.
    virtual const PowerLaw* power() const { return nullptr; }

    double low() const { return low_; }
    double high() const { return high_; }

  protected:
    /// The flow between `left` and `right` (which enclose it; either may be infinite) where the curve takes
    /// D.
    double search(double D, double left, double right, double guess) const;

    double low_ = -infinity, high_ = infinity;
};

/// Hazen-Williams friction with minor loss, both odd in q: d = r |q|^0.852 q + m |q| q. Square laws have r =
/// 0, flow tests m = 0.
class PowerLaw final : public Law {
  public:
    /// `r` in m/(m3/s)^1.852, `m` in m/(m3/s)^2, neither negative.
    PowerLaw(double r, double m, bool one_way);
    double loss(double q) const override;
    double slope(double q) const override;
    double flow(double D, double guess) const override;
    const PowerLaw* power() const override { return this; }

    double r() const { return r_; }
    double m() const { return m_; }

  private:
    double r_, m_;
};

/// r of a pipe: 10.67 L / (C^1.852 D^4.8704), L and D in m.
double hazen_williams_resistance(double length, double c, double bore);
/// m of a minor loss coefficient k on a bore (m): k 8 / (pi^2 g D^4).
double minor_loss_resistance(double k, double bore);
/// m of a cv (US gpm of 60 degF water at 1 psi) or a kv (m3/h of 60 degF water at 1 bar). The pressure scales
/// with the density, so the height of water lost does not depend on the temperature.
double cv_resistance(double cv);
double kv_resistance(double kv);

}  // namespace evenhead::solver
