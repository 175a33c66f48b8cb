// The likelihood of readings against its formula (head of likelihood.hpp) written out with a determinant and
// an inverse, and against what any density must do: its integral is 1.
#include "solver/diagnosis/likelihood_parts.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

namespace evenhead::solver {
namespace {

double normal(const Eigen::VectorXd& difference, const Eigen::MatrixXd& covariance) {
    const Eigen::MatrixXd inverse = covariance.inverse();
    return std::exp(-(difference.transpose() * inverse * difference).value() / 2) /
           std::sqrt(std::pow(2 * std::numbers::pi, static_cast<double>(difference.size())) *
                     covariance.determinant());
}

TEST(Likelihood, IsItsFormula) {
    std::mt19937 random(7);
    std::normal_distribution<double> draw;
    model::FaultPriors priors = model::fault_priors();
    priors.bad_reading = 0.02;
    priors.bad_reading_spread = 6;
    for (int repeat = 0; repeat < 50; ++repeat) {
        const Eigen::Index n = 1 + repeat % 5, inputs = repeat % 3;
        std::vector<double> deviations;
        for (Eigen::Index i = 0; i < n; ++i) deviations.push_back(0.5 + std::abs(draw(random)));
        const Eigen::MatrixXd drift = Eigen::MatrixXd::NullaryExpr(n, inputs, [&] { return draw(random); });
        const Eigen::VectorXd difference = Eigen::VectorXd::NullaryExpr(n, [&] { return 3 * draw(random); });
        const Likelihood likelihood(deviations, drift, priors);

        Eigen::MatrixXd covariance = drift * drift.transpose();
        if (inputs == 0) covariance = Eigen::MatrixXd::Zero(n, n);
        for (Eigen::Index i = 0; i < n; ++i)
            covariance(i, i) +=
                deviations[static_cast<std::size_t>(i)] * deviations[static_cast<std::size_t>(i)];
        double expected = (1 - 0.02 * static_cast<double>(n)) * normal(difference, covariance);
        std::vector<double> wrong;
        for (Eigen::Index i = 0; i < n; ++i) {
            const double s = deviations[static_cast<std::size_t>(i)];
            Eigen::MatrixXd wide = covariance;
            wide(i, i) += (6 * 6 - 1) * s * s;
            wrong.push_back(0.02 * normal(difference, wide));
            expected += wrong.back();
        }
        EXPECT_NEAR(likelihood.log(difference), std::log(expected),
                    1e-9 * std::abs(std::log(expected)) + 1e-9);
        EXPECT_NEAR(likelihood.chi_squared(difference),
                    (difference.transpose() * covariance.inverse() * difference).value(),
                    1e-9 * (1 + likelihood.chi_squared(difference)));
        const auto [reading, chance] = likelihood.worst(difference);
        ASSERT_GE(reading, 0);
        EXPECT_EQ(wrong[static_cast<std::size_t>(reading)], *std::max_element(wrong.begin(), wrong.end()));
        EXPECT_NEAR(chance, wrong[static_cast<std::size_t>(reading)] / expected, 1e-9);
    }
}

TEST(Likelihood, IntegratesToOne) {
    const Likelihood likelihood({1.5}, Eigen::MatrixXd::Constant(1, 1, 2.0), model::fault_priors());
    double sum = 0;
    constexpr double step = 0.01;
    for (double x = -150; x < 150; x += step)
        sum += step * std::exp(likelihood.log(Eigen::VectorXd::Constant(1, x)));
    EXPECT_NEAR(sum, 1, 1e-6);
}

// One of four readings 12 deviations off: it counts as wrong, and the others decide.
TEST(Likelihood, IsRobustToOneReading) {
    const Likelihood likelihood({1, 1, 1, 1}, Eigen::MatrixXd(4, 0), model::fault_priors());
    const Eigen::VectorXd off = (Eigen::VectorXd(4) << 12, 0.3, -0.2, 0.1).finished();
    EXPECT_EQ(likelihood.worst(off).first, 0);
    EXPECT_GT(likelihood.worst(off).second, 0.99);
    const Eigen::VectorXd fine = (Eigen::VectorXd(4) << 0.5, 0.3, -0.2, 0.1).finished();
    EXPECT_LT(likelihood.worst(fine).second, 0.05);
    EXPECT_GT(likelihood.log(off), -0.5 * 144 - 4);  // more than a plain normal would give it
}

TEST(Likelihood, OfNoReadingIsOne) {
    const Likelihood likelihood({}, Eigen::MatrixXd(0, 0), model::fault_priors());
    EXPECT_EQ(likelihood.log(Eigen::VectorXd(0)), 0);
    EXPECT_EQ(likelihood.chi_squared(Eigen::VectorXd(0)), 0);
    EXPECT_EQ(likelihood.worst(Eigen::VectorXd(0)).first, -1);
}

}  // namespace
}  // namespace evenhead::solver
