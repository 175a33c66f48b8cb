#include "solver/diagnosis/likelihood_parts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace evenhead::solver {

Likelihood::Likelihood(const std::vector<double>& deviations, const Eigen::MatrixXd& drift,
                       const model::FaultPriors& priors) {
    const auto n = static_cast<Eigen::Index>(deviations.size());
    const Eigen::VectorXd s = Eigen::Map<const Eigen::VectorXd>(deviations.data(), n);
    covariance_ = drift.cols() > 0 ? Eigen::MatrixXd(drift * drift.transpose()) : Eigen::MatrixXd::Zero(n, n);
    covariance_.diagonal() += s.cwiseAbs2();
    const Eigen::LLT<Eigen::MatrixXd> factor(covariance_);
    inverse_ = factor.solve(Eigen::MatrixXd::Identity(n, n));
    double log_determinant = 0;
    for (Eigen::Index i = 0; i < n; ++i) log_determinant += 2 * std::log(factor.matrixLLT()(i, i));
    const auto count = static_cast<double>(n);
    const double bad = std::min(priors.bad_reading, 0.5 / std::max(1.0, count));
    const double constant = -(count * std::log(2 * std::numbers::pi) + log_determinant) / 2;
    log_right_ = std::log(1 - count * bad) + constant;
    log_wrong_.resize(n);
    cut_.resize(n);
    for (Eigen::Index i = 0; i < n; ++i) {
        const double c = (priors.bad_reading_spread * priors.bad_reading_spread - 1) * s[i] * s[i];
        const double grown = 1 + c * inverse_(i, i);
        cut_[i] = c / grown;
        log_wrong_[i] = std::log(bad) + constant - std::log(grown) / 2;
    }
}

double Likelihood::log(const Eigen::VectorXd& difference) const {
    const Eigen::VectorXd product = inverse_ * difference;
    const double chi_squared = difference.dot(product);
    double most = log_right_ - chi_squared / 2, sum = 1;
    for (Eigen::Index i = 0; i < product.size(); ++i) {
        const double value = log_wrong_[i] - (chi_squared - cut_[i] * product[i] * product[i]) / 2;
        if (value > most) {
            sum = sum * std::exp(most - value) + 1;
            most = value;
        } else if (value > most - 40) {
            sum += std::exp(value - most);
        }
    }
    return most + std::log(sum);
}

double Likelihood::chi_squared(const Eigen::VectorXd& difference) const {
    return difference.dot(inverse_ * difference);
}

std::pair<int, double> Likelihood::worst(const Eigen::VectorXd& difference) const {
    const Eigen::VectorXd product = inverse_ * difference;
    const double all = log(difference), chi_squared = difference.dot(product);
    std::pair<int, double> worst{-1, 0};
    for (Eigen::Index i = 0; i < product.size(); ++i) {
        const double chance =
            std::exp(log_wrong_[i] - (chi_squared - cut_[i] * product[i] * product[i]) / 2 - all);
        if (chance > worst.second) worst = {static_cast<int>(i), chance};
    }
    return worst;
}

}  // namespace evenhead::solver
