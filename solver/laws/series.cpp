#include "solver/laws/series.hpp"

#include <algorithm>
#include <cmath>

namespace evenhead::solver {

void Series::add(const Law& law, bool reversed, double cap) {
    const double high = std::min(law.high(), cap), low = law.low();
    low_ = std::max(low_, reversed ? -high : low);
    high_ = std::min(high_, reversed ? -low : high);
    if (const auto* power = dynamic_cast<const PowerLaw*>(&law)) {
        r_ += power->r();
        m_ += power->m();
    } else {
        others_.push_back({&law, reversed});
    }
}

bool Series::never_level() const {
    return others_.empty() ? r_ > 0 || m_ > 0
                           : others_.size() == 1 && r_ == 0 && m_ == 0 && others_.front().law->strict();
}

double Series::loss(double q) const {
    const double a = std::abs(q);
    double sum = (r_ > 0 ? r_ * std::pow(a, 0.852) : 0.0) * q + m_ * a * q + level_slope() * q;
    for (const Part& part : others_) sum += part.reversed ? -part.law->loss(-q) : part.law->loss(q);
    return sum;
}

double Series::slope(double q) const {
    const double a = std::abs(q);
    double sum = (r_ > 0 ? 1.852 * r_ * std::pow(a, 0.852) : 0.0) + 2 * m_ * a + level_slope();
    for (const Part& part : others_) sum += part.law->slope(part.reversed ? -q : q);
    return sum;
}

LossRange Series::losses(double q) const {
    const double a = std::abs(q);
    const double power = (r_ > 0 ? r_ * std::pow(a, 0.852) : 0.0) * q + m_ * a * q + level_slope() * q;
    LossRange sum{power, power};
    for (const Part& part : others_) {
        const LossRange of = part.law->losses(part.reversed ? -q : q);
        sum.low += part.reversed ? -of.high : of.low;
        sum.high += part.reversed ? -of.low : of.high;
    }
    if (q <= low_) sum.low = -infinity;
    if (q >= high_) sum.high = infinity;
    return sum;
}

// With power laws alone: closed form for one of them, Newton from above for both (see PowerLaw).
double Series::power_flow(double D) const {
    if (r_ == 0 && m_ == 0) return D / level_slope_;
    return PowerLaw(r_, m_, false).flow(D, 0);
}

double Series::flow(double D, double guess) const {
    if (others_.empty()) return std::clamp(power_flow(D), low_, high_);
    if (never_level()) {
        const Part& part = others_.front();
        return std::clamp(part.reversed ? -part.law->flow(-D, -guess) : part.law->flow(D, guess), low_,
                          high_);
    }
    return Law::flow(D, guess);
}

}  // namespace evenhead::solver
