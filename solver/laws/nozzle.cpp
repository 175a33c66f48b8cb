#include "solver/laws/nozzle.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace evenhead::solver {

NozzleCurve::NozzleCurve(Rows pressure_and_flow, double exponent) : rows_(std::move(pressure_and_flow)) {
    exponents_.push_back(rows_.size() == 1 ? exponent : 0.5);
    for (std::size_t i = 0; i + 1 < rows_.size(); ++i) {
        exponents_.push_back(std::log(rows_[i + 1].second / rows_[i].second) /
                             std::log(rows_[i + 1].first / rows_[i].first));
    }
    exponents_.push_back(rows_.size() == 1 ? exponent : 0.5);
    for (std::size_t i = 0; i < exponents_.size(); ++i) {
        const auto& [P, Q] = rows_[i == 0 ? 0 : i - 1];
        const double n = 1 / exponents_[i];
        stretches_.push_back({n, std::log(P) - std::log(Q) * n, i == 0 ? 0 : rows_[i - 1].second,
                              i == rows_.size() ? infinity : rows_[i].second});
    }
}

double NozzleCurve::flow(double p) const {
    if (p <= 0) return 0;
    std::size_t i = 0;
    while (i < rows_.size() && p > rows_[i].first) ++i;
    const auto& [P, Q] = rows_[i == 0 ? 0 : i - 1];
    const double x = exponents_[i];
    return x == 0 ? Q : Q * std::pow(p / P, x);
}

double NozzleCurve::flow_slope(double p) const {
    if (p <= 0) return 0;
    std::size_t i = 0;
    while (i < rows_.size() && p > rows_[i].first) ++i;
    return exponents_[i] * flow(p) / p;
}

LossRange NozzleCurve::pressures(double q) const {
    if (q <= 0) return {-infinity, 0};
    if (constant_draw()) return q < full_flow() ? LossRange{0, 0} : LossRange{0, infinity};
    std::size_t i = 0;
    while (i < rows_.size() && q > rows_[i].second) ++i;
    const auto& [P, Q] = rows_[i == 0 ? 0 : i - 1];
    const double low = exponents_[i] == 0 ? P : P * std::pow(q / Q, 1 / exponents_[i]);
    double high = low;  // a level stretch of the flow is upright here
    for (; i < rows_.size() && rows_[i].second == q; ++i) high = std::max(high, rows_[i].first);
    return {low, high};
}

HeadLaw::HeadLaw(NozzleCurve nozzle, double joint_resistance, std::optional<double> set)
    : nozzle_(std::move(nozzle)), m_(joint_resistance), set_(set) {
    low_ = 0;
    if (nozzle_.constant_draw()) high_ = nozzle_.full_flow();
    if (set_) high_ = nozzle_.flow(*set_);
}

double HeadLaw::loss(double q) const {
    return (q <= 0 ? 0.0 : nozzle_.pressures(q).low) + m_ * q * q;
}

LossRange HeadLaw::losses(double q) const {
    LossRange p = nozzle_.pressures(q);
    if (q >= high_) p.high = infinity;
    return {p.low + m_ * q * q, p.high + m_ * q * q};
}

double HeadLaw::slope(double q) const {
    if (q <= 0) return nozzle_.constant_draw() ? 0 : 1 / nozzle_.flow_slope(1e-12);
    const LossRange p = nozzle_.pressures(q);
    if (nozzle_.constant_draw()) return 2 * m_ * q;
    if (p.high > p.low) return infinity;
    return 1 / nozzle_.flow_slope(p.low) + 2 * m_ * q;
}

double HeadLaw::flow(double D, double guess) const {
    if (D <= 0) return D == 0 && nozzle_.constant_draw() && m_ == 0 ? std::clamp(guess, 0.0, high_) : 0;
    if (std::isfinite(high_)) {
        const double full = (set_ ? *set_ : 0.0) + m_ * high_ * high_;
        if (D >= full) return high_;
    }
    if (m_ == 0) return nozzle_.flow(D);
    if (nozzle_.constant_draw()) return std::min(high_, std::sqrt(D / m_));
    // Neither joint nor nozzle alone passes more than the root; searched in q, since p may be lost beside the
    // joint's loss.
    const double most = std::min(nozzle_.flow(D), std::sqrt(D / m_));
    return search(D, 0, most, guess > 0 && guess < most ? guess : most);
}

std::optional<double> NozzleCurve::orifice() const {
    if (rows_.size() != 1 || exponents_.front() != 0.5) return std::nullopt;
    return rows_.front().first / (rows_.front().second * rows_.front().second);
}

const NozzleCurve::Stretch& NozzleCurve::stretch(double q) const {
    std::size_t i = 0;
    while (i + 1 < stretches_.size() && q > stretches_[i].high) ++i;
    return stretches_[i];
}

std::optional<double> HeadLaw::orifice() const {
    const std::optional<double> nozzle = set_ ? std::nullopt : nozzle_.orifice();
    return nozzle ? std::optional(*nozzle + m_) : std::nullopt;
}

std::pair<double, double> HeadLaw::tangent(double D, double guess) const {
    const double q = flow(D, guess);
    if (D <= 0 || q >= high_) return {q, 0};
    const double s = slope(q);
    return {q, s > 0 ? 1 / s : 0};
}

double HeadLaw::nozzle_pressure(double D, double q) const {
    if (D <= 0) return D;
    const double p = D - m_ * q * q;
    return set_ ? std::min(p, *set_) : std::max(p, 0.0);
}

bool HeadLaw::holding(double D) const {
    return set_ && D >= *set_ + m_ * high_ * high_;
}

}  // namespace evenhead::solver
