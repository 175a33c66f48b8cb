#include "solver/laws/series.hpp"

#include <algorithm>

namespace evenhead::solver {

void Series::add(const Law& law, bool reversed, double cap) {
    const double high = std::min(law.high(), cap), low = law.low();
    low_ = lowest_ = std::max(low_, reversed ? -high : low);
    high_ = highest_ = std::min(high_, reversed ? -low : high);
    if (const auto* power = dynamic_cast<const PowerLaw*>(&law)) {
        power_ = PowerLaw(power_.r() + power->r(), power_.m() + power->m(), false);
    } else {
        others_.push_back({&law, reversed});
    }
}

void Series::limit(bool backward, double most) {
    if (backward) {
        low_ = std::max(lowest_, -most);
    } else {
        high_ = std::min(highest_, most);
    }
}

bool Series::never_level() const {
    const bool power = power_.r() > 0 || power_.m() > 0;
    return others_.empty() ? power : others_.size() == 1 && !power && others_.front().law->strict();
}

double Series::loss(double q) const {
    double sum = power_.loss(q) + level_slope() * q;
    for (const Part& part : others_) sum += part.reversed ? -part.law->loss(-q) : part.law->loss(q);
    return sum;
}

double Series::slope(double q) const {
    double sum = power_.slope(q) + level_slope();
    for (const Part& part : others_) sum += part.law->slope(part.reversed ? -q : q);
    return sum;
}

LossRange Series::losses(double q) const {
    const double power = power_.loss(q) + level_slope() * q;
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

double Series::flow(double D, double guess) const {
    if (others_.empty()) return std::clamp(never_level() ? power_.flow(D, 0) : D / level_slope_, low_, high_);
    if (never_level()) {
        const Part& part = others_.front();
        return std::clamp(part.reversed ? -part.law->flow(-D, -guess) : part.law->flow(D, guess), low_,
                          high_);
    }
    return Law::flow(D, guess);
}

}  // namespace evenhead::solver
