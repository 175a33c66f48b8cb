// What may be the matter, weighed against the readings: nothing, one fault, two faults.
//
// Of one fault at one place the severity is not known, only how severities are spread (rank u evenly over 0..1, see
// FaultPrior) among those that somebody would notice. What the readings r say for it is the mean over them,
//     p(r | fault) = mean over u of p(r | y(u)),
// with y(u) what the gauges show (Response) and p(r | y) of Likelihood; and after the readings
//     p(u | r)  is proportional to  p(r | y(u)).
// A fault with many severities that fit badly is thereby taken for less likely than one that fits at all of its few: no
// count of parameters is needed. The mean is a sum over so many steps of u that the narrowest peak spans several.
#pragma once

#include <Eigen/Dense>

#include <memory>
#include <vector>

#include "solver/diagnosis/likelihood.hpp"
#include "solver/diagnosis/response.hpp"

namespace evenhead::solver {

/// Readings, and how the gauges drift together with what the case does not know.
struct Evidence {
    Eigen::VectorXd measured;        ///< by reading
    Eigen::MatrixXd drift;           ///< by gauge (readings first), by uncertain input: change at one deviation
    std::vector<double> deviations;  ///< by gauge
    Likelihood likelihood;
};

struct Hypothesis {
    std::vector<const Site*> faults;        ///< none: as drawn
    double prior = 0;
    double log_evidence = 0;                ///< ln p(r | hypothesis)
    double probability = 0;                 ///< of all answers together
    std::vector<double> ranks, severities;  ///< by fault, where the readings fit best
    std::vector<std::array<double, 2>> band;  ///< by fault: 5 % and 95 % of severity after the readings
    double chi_squared = 0;                 ///< at the best severities
    std::vector<double> best;               ///< by gauge, at the best severities
    Eigen::VectorXd mean, variance;         ///< by gauge: what the next reading would show, its own spread included
};

/// Nothing is wrong.
Hypothesis as_drawn(const Healthy& healthy, const Evidence& evidence, double prior);

/// One fault. `prior`: of its kind and place. Where no severity would be noticed, its probability is nothing: an
/// empty pointer.
std::unique_ptr<Hypothesis> one_fault(const Site& site, const Response& response, const Healthy& healthy,
                                      const Evidence& evidence, double prior);

/// Fills mean and variance from what is likely: shown at some points of the posterior, with weights that sum to 1.
void predict(Hypothesis& hypothesis, const Evidence& evidence, const std::vector<std::vector<double>>& shown,
             const std::vector<double>& weights);

/// Differences of the readings from what is shown.
Eigen::VectorXd differences(const Evidence& evidence, const std::vector<double>& shown);

/// Standard deviations by which the gauge that moves most leaves `healthy`; gauges that cannot be known are left out.
double largest_shift(const Healthy& healthy, const Evidence& evidence, const std::vector<double>& shown);

inline constexpr double noticed = 3;   ///< standard deviations: what some gauge must move by for a complaint

}  // namespace evenhead::solver
