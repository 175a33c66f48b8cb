#include "solver/laws/monotone_cubic.hpp"

#include <algorithm>
#include <utility>

namespace evenhead::solver {
namespace {

// One-sided three-point slope at an end: `h`, `d` are the lengths and secants of the nearest piece and the
// next one.
double end_slope(double h0, double h1, double d0, double d1) {
    return std::max(0.0, ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1));
}

}  // namespace

MonotoneCubic::MonotoneCubic(std::vector<double> x, std::vector<double> y)
    : x_(std::move(x)), y_(std::move(y)), slope_(x_.size(), 0.0) {
    const std::size_t n = x_.size();
    if (n < 2) return;
    std::vector<double> h(n - 1), d(n - 1);
    for (std::size_t i = 0; i + 1 < n; ++i) {
        h[i] = x_[i + 1] - x_[i];
        d[i] = (y_[i + 1] - y_[i]) / h[i];
    }
    if (n == 2) {
        slope_[0] = slope_[1] = d[0];
        return;
    }
    for (std::size_t i = 1; i + 1 < n; ++i) {
        if (d[i - 1] <= 0 || d[i] <= 0) continue;  // a level piece: level there
        const double w1 = 2 * h[i] + h[i - 1], w2 = h[i] + 2 * h[i - 1];
        slope_[i] = (w1 + w2) / (w1 / d[i - 1] + w2 / d[i]);
    }
    slope_[0] = end_slope(h[0], h[1], d[0], d[1]);
    slope_[n - 1] = end_slope(h[n - 2], h[n - 3], d[n - 2], d[n - 3]);
}

double MonotoneCubic::last_secant() const {
    const std::size_t n = x_.size();
    return (y_[n - 1] - y_[n - 2]) / (x_[n - 1] - x_[n - 2]);
}

std::size_t MonotoneCubic::piece(double at) const {
    const auto next = std::upper_bound(x_.begin() + 1, x_.end() - 1, at);
    return static_cast<std::size_t>(next - x_.begin()) - 1;
}

double MonotoneCubic::value(double at) const {
    if (x_.size() == 1) return y_[0];
    const std::size_t i = piece(at);
    const double h = x_[i + 1] - x_[i], t = (at - x_[i]) / h, u = 1 - t;
    return u * u * ((1 + 2 * t) * y_[i] + h * t * slope_[i]) +
           t * t * ((1 + 2 * u) * y_[i + 1] - h * u * slope_[i + 1]);
}

double MonotoneCubic::slope(double at) const {
    if (x_.size() == 1) return 0;
    const std::size_t i = piece(at);
    const double h = x_[i + 1] - x_[i], t = (at - x_[i]) / h, u = 1 - t;
    const double d = (y_[i + 1] - y_[i]) / h;
    return std::max(0.0, 6 * t * u * d + u * (1 - 3 * t) * slope_[i] + t * (3 * t - 2) * slope_[i + 1]);
}

}  // namespace evenhead::solver
