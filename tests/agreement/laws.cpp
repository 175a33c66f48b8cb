#include "tests/agreement/laws.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace evenhead::agreement {
namespace {

using model::LossKind;
using std::numbers::pi;

constexpr double g = 9.80665, psi = 6894.757293168361, bar = 1e5;
constexpr double gpm = 231 * 0.0254 * 0.0254 * 0.0254 / 60;

Curve square(double factor) {
    return [factor](double q) { return Value{factor * q * q, 2 * factor * q}; };
}

double minor_loss(double k, double bore) {
    const double area = pi / 4 * bore * bore;
    return k / (2 * g * area * area);
}

// 1/sqrt(f) by repetition, which contracts fast above Re 4000.
double colebrook(double reynolds, double relative) {
    double x = 7;
    for (int i = 0; i < 60; ++i) x = -2 * std::log10(relative / 3.7 + 2.51 * x / reynolds);
    return x;
}

Curve darcy_weisbach(double length, double bore, double roughness, double viscosity) {
    const double area = pi / 4 * bore * bore, relative = roughness / bore;
    const auto loss = [=](double q, double f) {
        const double velocity = q / area;
        return f * length / bore * velocity * velocity / (2 * g);
    };
    const double q_of_re = viscosity * area / bore;  // q = Re nu A / D
    return [=](double q) -> Value {
        const double q2000 = 2000 * q_of_re, q4000 = 4000 * q_of_re;
        if (q <= q2000) {
            const double slope = loss(q2000, 64.0 / 2000) / q2000;
            return {slope * q, slope};
        }
        if (q < q4000) {
            const double x = colebrook(4000, relative);
            const double start = loss(q2000, 64.0 / 2000), end = loss(q4000, 1 / (x * x));
            const double slope = (end - start) / (q4000 - q2000);
            return {start + slope * (q - q2000), slope};
        }
        const double re = q / q_of_re, x = colebrook(re, relative);
        const double d = loss(q, 1 / (x * x));
        // x = -2 log10(e + b x), b = 2.51 / Re: dx/dRe by implicit differentiation; d ~ q^2 / x^2.
        const double c = 2 / std::numbers::ln10 / (relative / 3.7 + 2.51 * x / re);
        const double dx = c * 2.51 * x / (re * re) / (1 + c * 2.51 / re);
        return {d, d * (2 / q - 2 * dx / (x * q_of_re))};
    };
}

}  // namespace

Curve monotone_cubic(const std::vector<std::pair<double, double>>& rows) {
    const std::size_t n = rows.size();
    std::vector<double> h, s, m(n);
    for (std::size_t i = 0; i + 1 < n; ++i) {
        h.push_back(rows[i + 1].first - rows[i].first);
        s.push_back((rows[i + 1].second - rows[i].second) / h.back());
    }
    if (n == 2) {
        m = {s[0], s[0]};
    } else {
        const auto end = [](double h0, double h1, double s0, double s1) {
            const double slope = ((2 * h0 + h1) * s0 - h0 * s1) / (h0 + h1);
            return slope * s0 <= 0 ? 0 : slope;
        };
        m[0] = end(h[0], h[1], s[0], s[1]);
        m[n - 1] = end(h[n - 2], h[n - 3], s[n - 2], s[n - 3]);
        for (std::size_t i = 1; i + 1 < n; ++i) {
            if (s[i - 1] * s[i] <= 0) continue;
            const double before = 2 * h[i] + h[i - 1], after = h[i] + 2 * h[i - 1];
            m[i] = (before + after) / (before / s[i - 1] + after / s[i]);
        }
    }
    return [rows, h, m](double x) -> Value {
        std::size_t i = 0;
        while (i + 2 < rows.size() && x > rows[i + 1].first) ++i;
        // Hermite's basis in t.
        const double t = (x - rows[i].first) / h[i], t2 = t * t, t3 = t2 * t;
        const double y0 = rows[i].second, y1 = rows[i + 1].second;
        return {
            (2 * t3 - 3 * t2 + 1) * y0 + (t3 - 2 * t2 + t) * h[i] * m[i] + (3 * t2 - 2 * t3) * y1 +
                (t3 - t2) * h[i] * m[i + 1],
            (6 * t2 - 6 * t) / h[i] * (y0 - y1) + (3 * t2 - 4 * t + 1) * m[i] + (3 * t2 - 2 * t) * m[i + 1]};
    };
}

LossLaw pipe_law(const model::Pipe& pipe, model::FrictionLaw friction, const Water& water) {
    const double length = pipe.length.value * (1 + pipe.fittings), bore = pipe.size->bore.value;
    const Curve minor = square(minor_loss(pipe.k.value, bore));
    if (length == 0) return {minor, 0};
    Curve main;
    if (friction == model::FrictionLaw::hazen_williams) {
        const double factor = 10.67 * length / (std::pow(pipe.size->c.value, 1.852) * std::pow(bore, 4.8704));
        main = [factor](double q) {
            return Value{factor * std::pow(q, 1.852), 1.852 * factor * std::pow(q, 0.852)};
        };
    } else {
        main = darcy_weisbach(length, bore, pipe.size->roughness.value, water.kinematic_viscosity);
    }
    return {[main, minor](double q) {
                const Value a = main(q), b = minor(q);
                return Value{a.value + b.value, a.slope + b.slope};
            },
            0};
}

LossLaw loss_law(const model::Loss& loss, const Water& water) {
    const double c = loss.coefficient.value;
    switch (loss.kind) {
        case LossKind::lossless:
            return {square(0), 0};
        case LossKind::cv:  // the pressure scales with the density: the height does not
            return {square(psi / (water.density_60f * g) / (c * gpm * c * gpm)), 0};
        case LossKind::kv:
            return {square(bar / (water.density_60f * g) * 3600 * 3600 / (c * c)), 0};
        case LossKind::k:
            return {square(minor_loss(c, loss.bore.value)), 0};
        case LossKind::chart:
            break;
    }
    std::vector<std::pair<double, double>> rows;
    for (const model::ChartRow& row : loss.chart) {
        const double height = water.metres(row.value.value);
        rows.emplace_back(row.at.value, rows.empty() ? height : std::max(height, rows.back().second));
    }
    const double opening = rows.front().first == 0 ? rows.front().second : 0;
    const auto [last_q, last_d] = rows.back();
    const Curve beyond = square(last_q > 0 ? (last_d - opening) / (last_q * last_q) : 0);
    if (rows.front().first > 0) {
        if (rows.size() == 1) return {beyond, 0};
        rows.insert(rows.begin(), {0.0, 0.0});
    }
    if (rows.size() <= 2) return {beyond, opening};
    for (auto& row : rows) row.second -= opening;
    const Curve inside = monotone_cubic(rows);
    return {[inside, beyond, last = last_q](double q) { return q < last ? inside(q) : beyond(q); }, opening};
}

Curve pump_law(const std::vector<model::ChartRow>& rise, const Water& water) {
    std::vector<std::pair<double, double>> rows;
    for (const model::ChartRow& row : rise) rows.emplace_back(row.at.value, -water.metres(row.value.value));
    if (rows.size() == 1) return [d = rows[0].second](double) { return Value{d, 0}; };
    const auto secant = [&](std::size_t i) {
        return (rows[i + 1].second - rows[i].second) / (rows[i + 1].first - rows[i].first);
    };
    return [rows, inside = monotone_cubic(rows), first = secant(0),
            last = secant(rows.size() - 2)](double q) -> Value {
        if (q < rows.front().first) return {rows.front().second + first * (q - rows.front().first), first};
        if (q > rows.back().first) return {rows.back().second + last * (q - rows.back().first), last};
        return inside(q);
    };
}

Curve supply_law(const model::Supply& supply, const Water& water) {
    if (supply.tests.empty()) return square(0);
    std::vector<std::pair<double, double>> rows{{0.0, 0.0}};
    for (const model::ChartRow& test : supply.tests) {
        rows.emplace_back(std::pow(test.at.value, 1.852),
                          water.metres(supply.static_pressure.value - test.value.value));
    }
    return [rows](double q) -> Value {
        const double u = std::pow(q, 1.852);
        std::size_t i = 0;
        while (i + 2 < rows.size() && u > rows[i + 1].first) ++i;
        const double slope = (rows[i + 1].second - rows[i].second) / (rows[i + 1].first - rows[i].first);
        return {rows[i].second + slope * (u - rows[i].first), slope * 1.852 * std::pow(q, 0.852)};
    };
}

double NozzleLaw::flow(double pressure) const {
    if (pressure <= 0) return 0;
    if (rows.size() == 1) return rows[0].second * std::pow(pressure / rows[0].first, exponent);
    if (pressure <= rows.front().first) return rows.front().second * std::sqrt(pressure / rows.front().first);
    if (pressure >= rows.back().first) return rows.back().second * std::sqrt(pressure / rows.back().first);
    std::size_t i = 0;
    while (pressure > rows[i + 1].first) ++i;
    const double share = std::log(pressure / rows[i].first) / std::log(rows[i + 1].first / rows[i].first);
    return rows[i].second * std::pow(rows[i + 1].second / rows[i].second, share);
}

NozzleLaw::Pressures NozzleLaw::pressures(double q) const {
    const auto power = [q](const std::pair<double, double>& row, double inverse) {
        const double p = row.first * std::pow(q / row.second, inverse);
        return Pressures{p, p, inverse * p / q};
    };
    if (rows.size() == 1) return power(rows[0], 1 / exponent);
    if (q < rows.front().second) return power(rows.front(), 2);
    if (q > rows.back().second) return power(rows.back(), 2);
    std::size_t i = 0;
    while (q > rows[i + 1].second) ++i;
    Pressures found;
    if (rows[i + 1].second > rows[i].second) {
        found = power(rows[i], std::log(rows[i + 1].first / rows[i].first) /
                                   std::log(rows[i + 1].second / rows[i].second));
    } else {
        found = {rows[i].first, rows[i].first, 0};
    }
    for (std::size_t j = 0; j < rows.size(); ++j) {  // rows of the same flow: the curve stands upright
        if (rows[j].second == q) found.most = std::max(found.most, rows[j].first);
    }
    return found;
}

}  // namespace evenhead::agreement
