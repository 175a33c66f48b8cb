// With x = 1/sqrt(f) the Colebrook-White law is x = -2 log10(e + 2.51 x / Re), e = roughness / (3.7 bore);
// the right side falls in x, so Newton from any start is safe and takes three or four steps. Written in the
// loss instead of the flow it is explicit: with s = sqrt(d / a) = q sqrt(f) the product Re sqrt(f) is known,
// and q = x s.
#include "solver/laws/darcy_weisbach.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solver/water.hpp"

namespace evenhead::solver {
namespace {

constexpr double laminar_end = 2000, turbulent_start = 4000;
constexpr double two_over_ln10 = 2 / std::numbers::ln10;

// x = 1/sqrt(f) of Colebrook-White and its derivative over Re.
struct Colebrook {
    double x, x_slope;
};

Colebrook colebrook(double reynolds, double relative_roughness) {
    const double e = relative_roughness / 3.7, b = 2.51 / reynolds;
    double x = 1.8 * std::log10(reynolds / (6.9 + reynolds * std::pow(e, 1.11)));  // Haaland: within 2 %
    for (int step = 0; step < 20; ++step) {
        const double argument = e + b * x;
        const double change = (x + two_over_ln10 * std::log(argument)) / (1 + two_over_ln10 * b / argument);
        x -= change;
        if (std::abs(change) <= 1e-15 * x) break;
    }
    const double inner = two_over_ln10 * b / (e + b * x);
    return {x, inner * x / reynolds / (1 + inner)};
}

}  // namespace

double friction_factor(double reynolds, double relative_roughness) {
    if (reynolds <= laminar_end) return 64 / reynolds;
    if (reynolds >= turbulent_start) {
        const double x = colebrook(reynolds, relative_roughness).x;
        return 1 / (x * x);
    }
    // d is proportional to f Re^2: straight in Re between the ends.
    const double x = colebrook(turbulent_start, relative_roughness).x;
    const double start = 64 * laminar_end, end = turbulent_start * turbulent_start / (x * x);
    const double d = start + (end - start) * (reynolds - laminar_end) / (turbulent_start - laminar_end);
    return d / (reynolds * reynolds);
}

DarcyWeisbach::DarcyWeisbach(double length, double bore, double roughness, double kinematic_viscosity,
                             double m)
    : a_(8 * length / (std::numbers::pi * std::numbers::pi * gravity * std::pow(bore, 5))),
      m_(m),
      reynolds_per_flow_(4 / (std::numbers::pi * bore * kinematic_viscosity)),
      relative_roughness_(roughness / bore),
      laminar_(64 * a_ / reynolds_per_flow_),
      q2000_(laminar_end / reynolds_per_flow_),
      q4000_(turbulent_start / reynolds_per_flow_),
      d2000_(laminar_ * q2000_) {
    const double x = colebrook(turbulent_start, relative_roughness_).x;
    between_ = (a_ * q4000_ * q4000_ / (x * x) - d2000_) / (q4000_ - q2000_);
}

DarcyWeisbach::Friction DarcyWeisbach::friction(double q) const {
    if (q <= q2000_) return {laminar_ * q, laminar_};
    if (q < q4000_) return {d2000_ + between_ * (q - q2000_), between_};
    const Colebrook c = colebrook(reynolds_per_flow_ * q, relative_roughness_);
    const double f = 1 / (c.x * c.x);
    return {a_ * f * q * q, 2 * a_ * f * q * (1 - reynolds_per_flow_ * q * c.x_slope / c.x)};
}

double DarcyWeisbach::loss(double q) const {
    const double absolute = std::abs(q);
    return std::copysign(friction(absolute).loss + m_ * absolute * absolute, q);
}

double DarcyWeisbach::slope(double q) const {
    const double absolute = std::abs(q);
    return friction(absolute).slope + 2 * m_ * absolute;
}

double DarcyWeisbach::flow(double D, double guess) const {
    if (m_ > 0 || a_ == 0) return Law::flow(D, guess);
    const double d = std::abs(D);
    const double d4000 = d2000_ + between_ * (q4000_ - q2000_);
    double q;
    if (d <= d2000_) {
        q = d / laminar_;
    } else if (d < d4000) {
        q = q2000_ + (d - d2000_) / between_;
    } else {
        const double s = std::sqrt(d / a_);
        q = -s * two_over_ln10 * std::log(relative_roughness_ / 3.7 + 2.51 / (reynolds_per_flow_ * s));
    }
    return std::copysign(q, D);
}

}  // namespace evenhead::solver
