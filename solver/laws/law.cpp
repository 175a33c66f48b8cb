#include "solver/laws/law.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solver/water.hpp"

namespace evenhead::solver {

LossRange Law::losses(double q) const {
    const double d = loss(q);
    return {q <= low_ ? -infinity : d, q >= high_ ? infinity : d};
}

double Law::flow(double D, double guess) const {
    if (std::isfinite(low_) && losses(low_).high >= D) return low_;
    if (std::isfinite(high_) && losses(high_).low <= D) return high_;
    if (low_ >= 0 || high_ <= 0) return search(D, low_, high_, guess);
    const LossRange rest = losses(0);  // a spring may hold the water at rest over a range of heights
    if (rest.low <= D && D <= rest.high) return 0;
    return D > rest.high ? search(D, 0, high_, guess) : search(D, low_, 0, guess);
}

// Newton on d(q) = D inside a bracket that only shrinks; a step that leaves the bracket or gains too little
// is replaced by halving it, so the search ends on any never-falling curve. Where the curve stands upright
// the bracket closes on its very flow.
double Law::search(double D, double left, double right, double guess) const {
    double q = std::clamp(std::isfinite(guess) ? guess : 0.0, left, right);
    double reach = std::max(std::abs(q), 1e-6);
    double last_error = infinity;
    for (int step = 0; step < 400; ++step) {
        const LossRange at = losses(q);
        if (at.low <= D && D <= at.high) return q;
        const double error = (at.low > D ? at.low : at.high) - D;
        (error > 0 ? right : left) = q;
        double next = q - error / slope(q);
        const bool small_step = std::abs(next - q) <= 2e-16 * std::abs(q);
        if (small_step && std::abs(error) <= 1e-12 * (std::abs(D) + std::abs(error))) return q;
        const bool slow = std::abs(error) > 0.5 * last_error;
        last_error = std::abs(error);
        if (!(next > left && next < right) || slow || small_step) {
            if (std::isinf(left)) {
                next = q - (reach *= 4);
            } else if (std::isinf(right)) {
                next = q + (reach *= 4);
            } else {
                next = left + (right - left) / 2;
                last_error = infinity;
            }
        }
        if (next == left || next == right) break;
        q = next;
    }
    for (const double end : {left, right}) {
        if (!std::isfinite(end)) continue;
        const LossRange at = losses(end);
        if (at.low <= D && D <= at.high) return end;
    }
    return q;
}

PowerLaw::PowerLaw(double r, double m, bool one_way) : r_(r), m_(m) {
    if (one_way) low_ = 0;
}

double PowerLaw::loss(double q) const {
    const double a = std::abs(q);
    return (r_ > 0 ? r_ * std::pow(a, 0.852) : 0.0) * q + m_ * a * q;
}

double PowerLaw::slope(double q) const {
    const double a = std::abs(q);
    return (r_ > 0 ? 1.852 * r_ * std::pow(a, 0.852) : 0.0) + 2 * m_ * a;
}

double PowerLaw::flow(double D, double guess) const {
    if (D <= 0 && low_ == 0) return 0;
    const double a = std::abs(D);
    double q;
    if (m_ == 0) {
        if (r_ == 0) return std::clamp(guess, low_, high_);
        q = std::pow(a / r_, 1 / 1.852);
    } else if (r_ == 0) {
        q = std::sqrt(a / m_);
    } else {
        // Both terms are convex for q > 0: Newton from above falls to the root without leaving it behind.
        q = std::min(std::pow(a / r_, 1 / 1.852), std::sqrt(a / m_));
        for (int step = 0; step < 60; ++step) {
            const double next = q - (loss(q) - a) / slope(q);
            if (!(next > 0) || std::abs(next - q) <= 4e-16 * q) break;
            q = next;
        }
    }
    return std::copysign(q, D);
}

double hazen_williams_resistance(double length, double c, double bore) {
    return 10.67 * length / (std::pow(c, 1.852) * std::pow(bore, 4.8704));
}

double minor_loss_resistance(double k, double bore) {
    return k * 8 / (std::numbers::pi * std::numbers::pi * gravity * std::pow(bore, 4));
}

namespace {

// Height of 60 degF water that 1 psi or 1 bar is worth, over the square of the flow that the coefficient
// passes then.
constexpr double reference_temperature = (60.0 - 32.0) / 1.8;
constexpr double gpm = 231 * 0.0254 * 0.0254 * 0.0254 / 60;
constexpr double psi = 4.4482216152605 / (0.0254 * 0.0254);

}  // namespace

double cv_resistance(double cv) {
    const double q = cv * gpm;
    return psi * metres_per_pascal(reference_temperature) / (q * q);
}

double kv_resistance(double kv) {
    const double q = kv / 3600;
    return 1e5 * metres_per_pascal(reference_temperature) / (q * q);
}

}  // namespace evenhead::solver
