#include "solver/diagnosis/evidence_parts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace evenhead::solver {
namespace {

constexpr int steps = 400;  // of rank: a peak of 1 psi in 60, halved by four readings, still spans three

double quantile(const Response& response, const std::vector<double>& ranks,
                const std::vector<double>& weights, double share) {
    double sum = 0;
    for (std::size_t i = 0; i < ranks.size(); ++i) {
        if (sum + weights[i] < share) {
            sum += weights[i];
            continue;
        }
        const double within = weights[i] > 0 ? (share - sum) / weights[i] - 0.5 : 0;
        const double width = (response.last_rank() - response.first_rank()) / steps;
        return response.severity(
            std::clamp(ranks[i] + within * width, response.first_rank(), response.last_rank()));
    }
    return response.severity(ranks.back());
}

}  // namespace

Eigen::VectorXd differences(const Evidence& evidence, const std::vector<double>& shown) {
    Eigen::VectorXd difference(evidence.measured.size());
    for (Eigen::Index i = 0; i < difference.size(); ++i)
        difference[i] = evidence.measured[i] - shown[static_cast<std::size_t>(i)];
    return difference;
}

double largest_shift(const Healthy& healthy, const Evidence& evidence, const std::vector<double>& shown) {
    double most = 0;
    for (std::size_t gauge = 0; gauge < shown.size(); ++gauge) {
        const double shift = std::abs(shown[gauge] - healthy.shown[gauge]) / evidence.deviations[gauge];
        if (shift > most) most = shift;
    }
    return most;
}

// Given the readings, what all gauges drift by is known in part: with the drift of all gauges D, that of
// those read R and their covariance S, a gauge shows y + D R^T S^-1 (r - y), give or take s^2 + D D^T - D R^T
// S^-1 R D^T.
Evidence::Evidence(Eigen::VectorXd of_readings, Eigen::MatrixXd of_inputs, std::vector<double> of_gauges,
                   Likelihood of_differences)
    : measured(std::move(of_readings)),
      drift(std::move(of_inputs)),
      deviations(std::move(of_gauges)),
      likelihood(std::move(of_differences)) {
    const Eigen::MatrixXd cross = drift * drift.topRows(measured.size()).transpose();
    gain = likelihood.covariance().llt().solve(cross.transpose()).transpose();
    variance = Eigen::Map<const Eigen::VectorXd>(deviations.data(), drift.rows()).cwiseAbs2() +
               drift.rowwise().squaredNorm() - gain.cwiseProduct(cross).rowwise().sum();
}

void predict(Hypothesis& hypothesis, const Evidence& evidence, const std::vector<std::vector<double>>& shown,
             const std::vector<double>& weights) {
    const auto gauges = static_cast<Eigen::Index>(evidence.deviations.size());
    Eigen::VectorXd mean = Eigen::VectorXd::Zero(gauges), square = Eigen::VectorXd::Zero(gauges);
    for (std::size_t i = 0; i < shown.size(); ++i) {
        const Eigen::VectorXd value = Eigen::Map<const Eigen::VectorXd>(shown[i].data(), gauges);
        mean += weights[i] * value;
        square += weights[i] * value.cwiseAbs2();
    }
    const Eigen::VectorXd variance = (square - mean.cwiseAbs2()).cwiseMax(0) + evidence.variance;
    mean += evidence.gain * (evidence.measured - mean.head(evidence.measured.size()));
    hypothesis.mean.assign(mean.begin(), mean.end());
    hypothesis.variance.assign(variance.begin(), variance.end());
}

Hypothesis as_drawn(const Healthy& healthy, const Evidence& evidence, double prior) {
    Hypothesis hypothesis;
    hypothesis.prior = prior;
    const Eigen::VectorXd difference = differences(evidence, healthy.shown);
    hypothesis.log_evidence = evidence.likelihood.log(difference);
    hypothesis.chi_squared = evidence.likelihood.chi_squared(difference);
    hypothesis.best = healthy.shown;
    predict(hypothesis, evidence, {healthy.shown}, {1});
    return hypothesis;
}

std::unique_ptr<Hypothesis> one_fault(const Site& site, const Response& response, const Healthy& healthy,
                                      const Evidence& evidence, double prior) {
    const int count = response.has_severity() ? steps : 1;
    const double width = (response.last_rank() - response.first_rank()) / count;
    std::vector<double> ranks, logs;
    std::vector<std::vector<double>> shown;
    std::vector<double> row;
    double most = -std::numeric_limits<double>::infinity();
    std::size_t best = 0;
    for (int i = 0; i < count; ++i) {
        const double rank = response.first_rank() + (i + 0.5) * width;
        response.shown(rank, row);
        if (largest_shift(healthy, evidence, row) < noticed) continue;
        ranks.push_back(rank);
        shown.push_back(row);
        logs.push_back(evidence.likelihood.log(differences(evidence, row)));
        if (logs.back() > most) {
            most = logs.back();
            best = logs.size() - 1;
        }
    }
    if (ranks.empty()) return nullptr;
    auto hypothesis = std::make_unique<Hypothesis>();
    hypothesis->faults = {&site};
    hypothesis->prior = prior;
    double sum = 0;
    for (double& value : logs) sum += (value = std::exp(value - most));
    hypothesis->log_evidence = most + std::log(sum / static_cast<double>(logs.size()));
    for (double& value : logs) value /= sum;
    hypothesis->ranks = {ranks[best]};
    hypothesis->severities = {response.severity(ranks[best])};
    hypothesis->band = {{quantile(response, ranks, logs, 0.05), quantile(response, ranks, logs, 0.95)}};
    if (hypothesis->band[0][0] > hypothesis->band[0][1])
        std::swap(hypothesis->band[0][0], hypothesis->band[0][1]);
    // Where the readings fit best at an end of what would be noticed, the band reaches there.
    hypothesis->band[0][0] = std::min(hypothesis->band[0][0], hypothesis->severities[0]);
    hypothesis->band[0][1] = std::max(hypothesis->band[0][1], hypothesis->severities[0]);
    hypothesis->best = shown[best];
    hypothesis->chi_squared = evidence.likelihood.chi_squared(differences(evidence, shown[best]));
    predict(*hypothesis, evidence, shown, logs);
    return hypothesis;
}

}  // namespace evenhead::solver
