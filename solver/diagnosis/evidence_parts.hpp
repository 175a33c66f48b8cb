// The readings as evidence, and hypotheses weighed by it. Not installed: use solver/diagnosis/diagnosis.hpp.
#pragma once

#include <Eigen/Dense>

#include <memory>
#include <vector>

#include "solver/diagnosis/hypothesis.hpp"
#include "solver/diagnosis/likelihood_parts.hpp"
#include "solver/diagnosis/response.hpp"

namespace evenhead::solver {

/// Readings, and how the gauges drift together with what the case does not know.
struct Evidence {
    Eigen::VectorXd measured;  ///< by reading
    Eigen::MatrixXd drift;     ///< by gauge (readings first), by uncertain input: change at one deviation
    std::vector<double> deviations;  ///< by gauge
    Likelihood likelihood;
    /// By gauge, by reading: what a reading's difference says of what a gauge drifts by; and the variance of
    /// a gauge once all are read, its own included. See `predict`.
    Eigen::MatrixXd gain;
    Eigen::VectorXd variance;

    Evidence(Eigen::VectorXd measured, Eigen::MatrixXd drift, std::vector<double> deviations,
             Likelihood likelihood);
};

/// Nothing is wrong.
Hypothesis as_drawn(const Healthy& healthy, const Evidence& evidence, double prior);

/// One fault. `prior`: of its kind and place. Where no severity would be noticed, its probability is nothing:
/// an empty pointer.
std::unique_ptr<Hypothesis> one_fault(const Site& site, const Response& response, const Healthy& healthy,
                                      const Evidence& evidence, double prior);

/// Fills mean and variance from what is likely: shown at some points of the posterior, with weights that sum
/// to 1.
void predict(Hypothesis& hypothesis, const Evidence& evidence, const std::vector<std::vector<double>>& shown,
             const std::vector<double>& weights);

/// Differences of the readings from what is shown.
Eigen::VectorXd differences(const Evidence& evidence, const std::vector<double>& shown);

/// Standard deviations by which the gauge that moves most leaves `healthy`; gauges that cannot be known are
/// left out.
double largest_shift(const Healthy& healthy, const Evidence& evidence, const std::vector<double>& shown);

}  // namespace evenhead::solver
