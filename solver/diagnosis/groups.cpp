// Explanations that the readings cannot tell apart, and the reading that would.
//
// Of a gauge that was not read, every explanation h foretells a value, normal with mean m and deviation s (what is not
// known of severities and inputs, and the gauge's own spread). What the reading is expected to tell is how much closer
// it brings us to knowing h, in bits:
//     gain = sum over h of P(h) times the integral of N(y; m, s) log2( N(y; m, s) / p(y) ),   p = sum over h of P(h) N.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <numbers>
#include <numeric>

#include "model/position.hpp"
#include "solver/diagnosis/diagnosis.hpp"

namespace evenhead::solver {
namespace {

constexpr double most_chi_squared = 2;   // that two of a group may differ by
constexpr std::size_t leading = 4;       // groups whose values are foretold

bool alike(const Hypothesis& one, const Hypothesis& other, const Evidence& evidence) {
    if (!(std::abs(one.chi_squared - other.chi_squared) < most_chi_squared)) return false;
    for (std::size_t i = 0; i < at(static_cast<int>(evidence.measured.size())); ++i)
        if (std::abs(one.best[i] - other.best[i]) > evidence.deviations[i]) return false;
    return true;
}

/// Of those left (likeliest first), `seed` and whatever is like all that are in already.
Group grown(const std::vector<Hypothesis>& hypotheses, const Evidence& evidence, const std::vector<std::size_t>& left,
            std::size_t seed) {
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

double expected_gain(const std::vector<Hypothesis>& hypotheses, Eigen::Index gauge) {
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
            if (density[h] > 0) gain += hypotheses[h].probability * density[h] * std::log2(density[h] / all) * width;
    }
    return std::max(gain, 0.0);
}

// The share of cases in which what is true ends in the leading group, if this gauge is read next: over the likeliest
// truths and some readings that each would give.
double expected_lead(const Diagnosis& d, const Evidence& evidence, Eigen::Index gauge) {
    const std::size_t H = std::min<std::size_t>(d.hypotheses.size(), 120);
    const auto& all_of = d.hypotheses;
    const double sd = evidence.deviations[static_cast<std::size_t>(gauge)];
    std::vector<char> like(H * H);
    for (std::size_t a = 0; a < H; ++a)
        for (std::size_t b = a; b < H; ++b) {
            bool fits = std::abs(all_of[a].mean[gauge] - all_of[b].mean[gauge]) <= sd;
            for (std::size_t i = 0; fits && i < at(static_cast<int>(evidence.measured.size())); ++i)
                fits = std::abs(all_of[a].best[i] - all_of[b].best[i]) <= evidence.deviations[i];
            like[a * H + b] = like[b * H + a] = fits;
        }
    double expect = 0, mass = 0;
    constexpr int outcomes = 5;
    constexpr double z[outcomes] = {-1.4, -0.6, 0, 0.6, 1.4}, share[outcomes] = {0.16, 0.22, 0.24, 0.22, 0.16};
    std::vector<double> p(H), chi(H);
    std::vector<std::size_t> order(H), members, best_members;
    for (std::size_t t = 0; t < H && mass < 0.9; ++t) {
        mass += all_of[t].probability;
        for (int o = 0; o < outcomes; ++o) {
            const double y = all_of[t].mean[gauge] + z[o] * std::sqrt(all_of[t].variance[gauge]);
            double all = 0;
            for (std::size_t h = 0; h < H; ++h) {
                all += p[h] = all_of[h].probability * normal(y, all_of[h].mean[gauge], all_of[h].variance[gauge]);
                chi[h] = all_of[h].chi_squared + (y - all_of[h].mean[gauge]) * (y - all_of[h].mean[gauge]) / all_of[h].variance[gauge];
            }
            std::iota(order.begin(), order.end(), std::size_t{0});
            std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return p[a] > p[b]; });
            double best = 0;
            for (std::size_t s = 0; s < std::min<std::size_t>(6, H); ++s) {
                members.assign(1, order[s]);
                double sum = p[order[s]];
                for (const std::size_t i : order) {
                    if (p[i] < 1e-3 * p[order[0]]) break;
                    if (i == order[s]) continue;
                    bool fits = true;
                    for (const std::size_t m : members) fits = fits && like[m * H + i] && std::abs(chi[m] - chi[i]) < most_chi_squared;
                    if (fits) { members.push_back(i); sum += p[i]; }
                }
                best = std::max(best, sum);
            }
            expect += all_of[t].probability * share[o] * best / all;
        }
    }
    return expect / mass;
}

}  // namespace

// Which of those that are alike stand together is a choice: the groups that are likeliest are made first, each grown
// from the best of some seeds by what is likeliest and like all of it.
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
    std::stable_sort(groups.begin(), groups.end(),
                     [](const Group& one, const Group& other) { return one.probability > other.probability; });
    return groups;
}

std::vector<NextReading> next_readings(const Diagnosis& diagnosis, const Evidence& evidence) {
    std::vector<NextReading> next;
    for (std::size_t gauge = diagnosis.survey.readings; gauge < diagnosis.survey.gauges.size(); ++gauge) {
        NextReading reading{gauge, expected_gain(diagnosis.hypotheses, static_cast<Eigen::Index>(gauge)), {}};
        for (std::size_t group = 0; group < std::min(leading, diagnosis.groups.size()); ++group) {
            const Hypothesis& first = diagnosis.hypotheses[diagnosis.groups[group].members.front()];
            const auto i = static_cast<Eigen::Index>(gauge);
            reading.expected.push_back({group, first.mean[i], std::sqrt(first.variance[i])});
        }
        next.push_back(std::move(reading));
    }
    if (std::getenv("LEAD"))
        for (NextReading& reading : next)
            reading.gain = expected_lead(diagnosis, evidence, static_cast<Eigen::Index>(reading.gauge)) + (diagnosis.survey.readings <= 3 && std::getenv("EARLY") ? std::atof(std::getenv("EARLY")) : std::atof(std::getenv("LEAD"))) * reading.gain;
    std::stable_sort(next.begin(), next.end(),
                     [](const NextReading& one, const NextReading& other) { return one.gain > other.gain; });
    return next;
}

}  // namespace evenhead::solver
