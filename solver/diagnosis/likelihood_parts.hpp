// How likely the readings are if a gauge shows what a hypothesis says.
//
// A reading r of a gauge that shows y strays by its own standard deviation s, and y itself by what the case
// says that it does not know (spreads of supply, C, nozzles ...), which moves all gauges together: with J the
// change of each gauge with each such input and p the input's standard deviation, r - y has the covariance
//     S = diag(s^2) + J diag(p^2) J^T.
// Any one reading may be simply wrong (misread, wrong head): with the chance e for each, its s is f times as
// large. So
//     p(r | y) = (1 - n e) N(r - y; 0, S) + e sum_i N(r - y; 0, S with s_i replaced by f s_i),
// two wrong readings at once being left out. With P = S^-1 and c = (f^2 - 1) s_i^2 the i-th of the sum has
//     d^T S_i^-1 d = d^T P d - c / (1 + c P_ii) (P d)_i^2,   ln det S_i = ln det S + ln(1 + c P_ii)
// (Sherman and Morrison 1950), so that one product P d gives them all.
#pragma once

#include <Eigen/Dense>

#include <vector>

#include "model/faults.hpp"

namespace evenhead::solver {

class Likelihood {
  public:
    /// `deviations`: s by reading; `drift`: J diag(p), a row for each reading, a column for each uncertain
    /// input.
    Likelihood(const std::vector<double>& deviations, const Eigen::MatrixXd& drift,
               const model::FaultPriors& priors);

    /// ln p(r | y) of the differences r - y, by reading.
    double log(const Eigen::VectorXd& difference) const;
    /// (r - y)^T S^-1 (r - y), no reading being wrong.
    double chi_squared(const Eigen::VectorXd& difference) const;
    /// Reading that is most likely wrong, with its chance.
    std::pair<int, double> worst(const Eigen::VectorXd& difference) const;
    const Eigen::MatrixXd& covariance() const { return covariance_; }

  private:
    Eigen::MatrixXd covariance_, inverse_;
    double log_right_ = 0;             // ln of chance and of the normal's constant, no reading being wrong
    Eigen::VectorXd log_wrong_, cut_;  // by reading: the same with that one wrong; c / (1 + c P_ii)
};

}  // namespace evenhead::solver
