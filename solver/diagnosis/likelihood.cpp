#include "solver/diagnosis/likelihood.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace evenhead::solver {

Likelihood::Likelihood(const std::vector<double>& deviations, const Eigen::MatrixXd& drift,
                       const model::FaultPriors& priors) {
    const auto n = static_cast<Eigen::Index>(deviations.size());
    const Eigen::VectorXd s = Eigen::Map<const Eigen::VectorXd>(deviations.data(), n);
    const Eigen::MatrixXd shared = drift.cols() > 0 ? Eigen::MatrixXd(drift * drift.transpose())
                                                    : Eigen::MatrixXd::Zero(n, n);
    covariance_ = shared;
    covariance_.diagonal() += s.cwiseAbs2();
    const double bad = std::min(priors.bad_reading, 0.5 / std::max<double>(1, static_cast<double>(n)));
    const auto add = [&](const Eigen::MatrixXd& covariance, double chance) {
        if (!(chance > 0)) return;
        const Eigen::LLT<Eigen::MatrixXd> factor(covariance);
        const Eigen::MatrixXd lower = factor.matrixL();
        const double log_determinant = 2 * lower.diagonal().array().log().sum();
        terms_.push_back({std::log(chance) - (static_cast<double>(n) * std::log(2 * std::numbers::pi) + log_determinant) / 2,
                          lower.triangularView<Eigen::Lower>().solve(Eigen::MatrixXd::Identity(n, n))});
    };
    add(covariance_, 1 - static_cast<double>(n) * bad);
    for (Eigen::Index i = 0; i < n; ++i) {
        Eigen::MatrixXd wrong = covariance_;
        const double wide = priors.bad_reading_spread * s[i];
        wrong(i, i) += wide * wide - s[i] * s[i];
        add(wrong, bad);
    }
}

double Likelihood::log(const Eigen::VectorXd& difference) const {
    double most = -std::numeric_limits<double>::infinity(), sum = 0;
    for (const Term& term : terms_) {
        const double value = term.log_weight - (term.whitener * difference).squaredNorm() / 2;
        if (value > most) {
            sum = sum * std::exp(most - value) + 1;
            most = value;
        } else {
            sum += std::exp(value - most);
        }
    }
    return terms_.empty() ? 0 : most + std::log(sum);
}

double Likelihood::chi_squared(const Eigen::VectorXd& difference) const {
    return terms_.empty() ? 0 : (terms_.front().whitener * difference).squaredNorm();
}

std::pair<int, double> Likelihood::worst(const Eigen::VectorXd& difference) const {
    const double all = log(difference);
    std::pair<int, double> worst{-1, 0};
    for (std::size_t i = 1; i < terms_.size(); ++i) {
        const double chance =
            std::exp(terms_[i].log_weight - (terms_[i].whitener * difference).squaredNorm() / 2 - all);
        if (chance > worst.second) worst = {static_cast<int>(i) - 1, chance};
    }
    return worst;
}

}  // namespace evenhead::solver
