#include "solver/laws/chart.hpp"

#include <algorithm>
#include <cmath>

namespace evenhead::solver {

LossChart::LossChart(const Rows& rows, bool one_way) {
    if (one_way) low_ = 0;
    std::vector<double> x, y;
    for (const auto& [q, height] : rows) {
        x.push_back(q);
        y.push_back(y.empty() ? height : std::max(height, y.back()));
    }
    if (x.front() == 0) loss0_ = y.front();
    const bool row_at_zero = x.front() == 0;
    last_flow_ = x.back();
    if (last_flow_ > 0) beyond_ = (y.back() - loss0_) / (last_flow_ * last_flow_);
    if (x.size() - (row_at_zero ? 1 : 0) < 2) {
        last_flow_ = 0;
        return;
    }
    if (!row_at_zero) {
        x.insert(x.begin(), 0.0);
        y.insert(y.begin(), 0.0);
    }
    cubic_ = MonotoneCubic(std::move(x), std::move(y));
    has_cubic_ = true;
}

double LossChart::loss(double q) const {
    if (q == 0) return low_ == 0 ? loss0_ : 0;
    const double a = std::abs(q);
    return std::copysign(has_cubic_ && a < last_flow_ ? cubic_.value(a) : loss0_ + beyond_ * a * a, q);
}

double LossChart::slope(double q) const {
    const double a = std::abs(q);
    if (a == 0 && low_ != 0 && loss0_ > 0) return infinity;
    return has_cubic_ && a < last_flow_ ? cubic_.slope(a) : 2 * beyond_ * a;
}

LossRange LossChart::losses(double q) const {
    if (q == 0) return {low_ == 0 ? -infinity : -loss0_, loss0_};
    return Law::losses(q);
}

namespace {
constexpr double exponent = 1.852;
constexpr double level = 1e-9;  // m/(m3/s)^1.852: takes less than the rounding of heights at any flow
}  // namespace

FlowTests::FlowTests(const Rows& drops) : u_{0}, drop_{0} {
    for (const auto& [q, drop] : drops) {
        const double u = std::pow(q, exponent);
        if (u <= u_.back()) {  // flows that differ by rounding alone
            drop_.back() = drop;
        } else {
            u_.push_back(u);
            drop_.push_back(drop);
        }
    }
    for (std::size_t i = 1; i < u_.size(); ++i) {
        if (!(drop_[i] - drop_[i - 1] > level * (u_[i] - u_[i - 1]))) strict_ = false;
    }
}

double FlowTests::loss(double q) const {
    const double u = std::pow(std::abs(q), exponent);
    std::size_t i = 1;
    while (i + 1 < u_.size() && u > u_[i]) ++i;
    const double share = (u - u_[i - 1]) / (u_[i] - u_[i - 1]);
    return std::copysign(drop_[i - 1] + share * (drop_[i] - drop_[i - 1]), q);
}

double FlowTests::slope(double q) const {
    const double a = std::abs(q), u = std::pow(a, exponent);
    std::size_t i = 1;
    while (i + 1 < u_.size() && u > u_[i]) ++i;
    return (drop_[i] - drop_[i - 1]) / (u_[i] - u_[i - 1]) * exponent * std::pow(a, exponent - 1);
}

double FlowTests::flow(double D, double guess) const {
    if (!strict_) return Law::flow(D, guess);
    const double d = std::abs(D);
    std::size_t i = 1;
    while (i + 1 < u_.size() && d > drop_[i]) ++i;
    const double u = u_[i - 1] + (d - drop_[i - 1]) / (drop_[i] - drop_[i - 1]) * (u_[i] - u_[i - 1]);
    return std::copysign(std::pow(u, 1 / exponent), D);
}

PumpLaw::PumpLaw(const Rows& rises) {
    low_ = 0;
    std::vector<double> x, y;
    for (const auto& [q, rise] : rises) {
        x.push_back(q);
        y.push_back(-rise);
    }
    cubic_ = MonotoneCubic(std::move(x), std::move(y));
    if (rises.size() > 1) {
        first_secant_ = cubic_.first_secant();
        last_secant_ = cubic_.last_secant();
    }
}

double PumpLaw::loss(double q) const {
    if (q < cubic_.front_x()) return cubic_.front_y() + first_secant_ * (q - cubic_.front_x());
    if (q > cubic_.back_x()) return cubic_.back_y() + last_secant_ * (q - cubic_.back_x());
    return cubic_.value(q);
}

double PumpLaw::slope(double q) const {
    if (q < cubic_.front_x()) return first_secant_;
    if (q > cubic_.back_x()) return last_secant_;
    return cubic_.slope(q);
}

}  // namespace evenhead::solver
