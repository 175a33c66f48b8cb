// Explanations that the readings cannot tell apart, and the reading that would.
//
// Of a gauge that was not read, every explanation h foretells a value, normal with mean m and deviation s
// (what is not known of severities and inputs, and the gauge's own spread). What the reading is expected to
// tell is how much closer it brings us to knowing h, in bits:
//     I = sum over h of P(h) times the integral of N(y; m, s) log2( N(y; m, s) / p(y) ),   p = sum over h of
//     P(h) N.
// That alone tells apart what need not be told apart; so it is added to how likely the leading group will
// then be right.
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>

#include "solver/diagnosis/diagnosis.hpp"
#include "solver/diagnosis/evidence_parts.hpp"

namespace evenhead::solver {
namespace {

constexpr double most_chi_squared = 2;   // that two of a group may differ by
constexpr std::size_t shown_groups = 4;  // groups whose values are foretold
// What it is worth that the leading group is right for certain, where it was not at all: found by simulation
// (tests/simulation) to leave few places in a leading group that is mostly right.
constexpr double bits_of_certainty = 5;

/// No reading differs by more than its standard deviation.
bool near(const Hypothesis& one, const Hypothesis& other, const Evidence& evidence) {
    const auto readings = static_cast<std::size_t>(evidence.measured.size());
    for (std::size_t i = 0; i < readings; ++i)
        if (std::abs(one.best[i] - other.best[i]) > evidence.deviations[i]) return false;
    return true;
}

bool alike(const Hypothesis& one, const Hypothesis& other, const Evidence& evidence) {
    return std::abs(one.chi_squared - other.chi_squared) < most_chi_squared && near(one, other, evidence);
}

/// Of those left (likeliest first), `seed` and whatever is like all that are in already.
Group grown(const std::vector<Hypothesis>& hypotheses, const Evidence& evidence,
            const std::vector<std::size_t>& left, std::size_t seed) {
    Group group;
    const auto take = [&](std::size_t i) {
        group.members.push_back(i);
        group.probability += hypotheses[i].probability;
        group.healthy |= hypotheses[i].faults.empty();
    };
    take(seed);
    for (const std::size_t i : left) {
        if (i == seed) continue;
        const bool fits = std::all_of(group.members.begin(), group.members.end(), [&](std::size_t member) {
            return alike(hypotheses[member], hypotheses[i], evidence);
        });
        if (fits) take(i);
    }
    std::sort(group.members.begin(), group.members.end());
    return group;
}

double normal(double y, double mean, double variance) {
    return std::exp(-(y - mean) * (y - mean) / (2 * variance)) / std::sqrt(2 * std::numbers::pi * variance);
}

double expected_gain(const std::vector<Hypothesis>& hypotheses, std::size_t gauge) {
    double low = std::numeric_limits<double>::infinity(), high = -low, narrowest = low;
    for (const Hypothesis& of : hypotheses) {
        const double mean = of.mean[gauge], deviation = std::sqrt(of.variance[gauge]);
        if (!std::isfinite(mean)) return 0;
        low = std::min(low, mean - 5 * deviation);
        high = std::max(high, mean + 5 * deviation);
        narrowest = std::min(narrowest, deviation);
    }
    const int steps = std::clamp(static_cast<int>(2 * (high - low) / narrowest), 40, 2000);
    const double width = (high - low) / steps;
    double gain = 0;
    std::vector<double> density(hypotheses.size());
    for (int i = 0; i < steps; ++i) {
        const double y = low + (i + 0.5) * width;
        double all = 0;
        for (std::size_t h = 0; h < hypotheses.size(); ++h) {
            density[h] = normal(y, hypotheses[h].mean[gauge], hypotheses[h].variance[gauge]);
            all += hypotheses[h].probability * density[h];
        }
        if (!(all > 0)) continue;
        for (std::size_t h = 0; h < hypotheses.size(); ++h)
            if (density[h] > 0)
                gain += hypotheses[h].probability * density[h] * std::log2(density[h] / all) * width;
    }
    return std::max(gain, 0.0);
}

// How often what is true will be in the leading group if this gauge is read next: over the likeliest truths
// and some readings that each would give, the probability that the leading group then has.
class Lead {
  public:
    Lead(const std::vector<Hypothesis>& hypotheses, const Evidence& evidence)
        : hypotheses_(hypotheses),
          evidence_(evidence),
          count_(std::min<std::size_t>(hypotheses.size(), 120)),
          near_(count_ * count_) {
        for (std::size_t a = 0; a < count_; ++a)
            for (std::size_t b = a; b < count_; ++b)
                near_[a * count_ + b] = near_[b * count_ + a] = near(hypotheses[a], hypotheses[b], evidence);
    }

    double expected(std::size_t gauge) const {
        // Readings that a truth gives, in its standard deviations, and how often.
        constexpr std::array<std::array<double, 2>, 5> readings{
            {{-1.4, 0.16}, {-0.6, 0.22}, {0, 0.24}, {0.6, 0.22}, {1.4, 0.16}}};
        double sum = 0, mass = 0;
        for (std::size_t truth = 0; truth < count_ && mass < 0.9; ++truth) {
            const Hypothesis& of = hypotheses_[truth];
            mass += of.probability;
            for (const auto& [deviations, share] : readings)
                sum += of.probability * share *
                       leading(gauge, of.mean[gauge] + deviations * std::sqrt(of.variance[gauge]));
        }
        return mass > 0 ? sum / mass : 0;
    }

  private:
    /// Probability of the leading group once the gauge has shown `value`.
    double leading(std::size_t gauge, double value) const {
        std::vector<double> weight(count_), chi_squared(count_);
        double all = 0;
        for (std::size_t h = 0; h < count_; ++h) {
            const Hypothesis& of = hypotheses_[h];
            const double off = value - of.mean[gauge];
            all += weight[h] = of.probability * normal(value, of.mean[gauge], of.variance[gauge]);
            chi_squared[h] = of.chi_squared + off * off / of.variance[gauge];
        }
        if (!(all > 0)) return 0;
        std::vector<std::size_t> order(count_), members;
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::sort(order.begin(), order.end(),
                  [&](std::size_t a, std::size_t b) { return weight[a] > weight[b]; });
        const double spread = evidence_.deviations[gauge];
        double best = 0;
        for (std::size_t seed = 0; seed < std::min<std::size_t>(6, count_); ++seed) {
            members.assign(1, order[seed]);
            double sum = weight[order[seed]];
            for (const std::size_t i : order) {
                if (weight[i] < 1e-3 * weight[order[0]]) break;
                if (i == order[seed]) continue;
                const bool fits = std::all_of(members.begin(), members.end(), [&](std::size_t m) {
                    return near_[m * count_ + i] &&
                           std::abs(chi_squared[m] - chi_squared[i]) < most_chi_squared &&
                           std::abs(hypotheses_[m].mean[gauge] - hypotheses_[i].mean[gauge]) <= spread;
                });
                if (!fits) continue;
                members.push_back(i);
                sum += weight[i];
            }
            best = std::max(best, sum);
        }
        return best / all;
    }

    const std::vector<Hypothesis>& hypotheses_;
    const Evidence& evidence_;
    std::size_t count_;
    std::vector<char> near_;  // by pair
};

}  // namespace

// Which of those that are alike stand together is a choice: the groups that are likeliest are made first,
// each grown from the best of some seeds by what is likeliest and like all of it.
std::vector<Group> make_groups(const std::vector<Hypothesis>& hypotheses, const Evidence& evidence) {
    constexpr std::size_t seeds = 24;
    std::vector<Group> groups;
    std::vector<std::size_t> left(hypotheses.size());
    std::iota(left.begin(), left.end(), std::size_t{0});
    while (!left.empty()) {
        Group best;
        for (std::size_t seed = 0; seed < std::min(seeds, left.size()); ++seed) {
            Group group = grown(hypotheses, evidence, left, left[seed]);
            if (group.probability > best.probability || best.members.empty()) best = std::move(group);
        }
        std::erase_if(left, [&](std::size_t i) {
            return std::find(best.members.begin(), best.members.end(), i) != best.members.end();
        });
        groups.push_back(std::move(best));
    }
    std::stable_sort(groups.begin(), groups.end(), [](const Group& one, const Group& other) {
        return one.probability > other.probability;
    });
    return groups;
}

std::vector<NextReading> next_readings(const Diagnosis& diagnosis, const Evidence& evidence) {
    std::vector<NextReading> next;
    const Lead lead(diagnosis.hypotheses, evidence);
    for (std::size_t gauge = diagnosis.survey.readings; gauge < diagnosis.survey.gauges.size(); ++gauge) {
        const double bits = expected_gain(diagnosis.hypotheses, gauge);
        NextReading reading{gauge, bits + bits_of_certainty * lead.expected(gauge), {}};
        for (std::size_t group = 0; group < std::min(shown_groups, diagnosis.groups.size()); ++group) {
            const Hypothesis& first = diagnosis.hypotheses[diagnosis.groups[group].members.front()];
            reading.expected.push_back({group, first.mean[gauge], std::sqrt(first.variance[gauge])});
        }
        next.push_back(std::move(reading));
    }
    std::stable_sort(next.begin(), next.end(),
                     [](const NextReading& one, const NextReading& other) { return one.gain > other.gain; });
    return next;
}

}  // namespace evenhead::solver
