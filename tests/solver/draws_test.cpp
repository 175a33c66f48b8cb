// Draws: the generator against its published test vectors, the normal against SciPy.
#include "solver/review/draws.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace evenhead::solver {
namespace {

using Words = std::array<std::uint32_t, 4>;

// The known answers that come with the paper (Random123, kat_vectors, philox4x32 with 10 rounds).
TEST(Draws, PhiloxGivesItsKnownAnswers) {
    EXPECT_EQ(philox({0, 0, 0, 0}, {0, 0}), (Words{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}));
    constexpr std::uint32_t all = 0xffffffff;
    EXPECT_EQ(philox({all, all, all, all}, {all, all}),
              (Words{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}));
    EXPECT_EQ(philox({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}),
              (Words{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}));
}

// scipy.stats.truncnorm(-3, 3): standard deviation and cumulative shares. The error of a share of n draws is
// sqrt(s (1 - s) / n): four of them are allowed.
TEST(Draws, NormalAndCutAtThree) {
    constexpr int n = 400'000;
    constexpr std::array<std::pair<double, double>, 5> shares{
        {{-2, 0.021458167}, {-1, 0.157731198}, {-0.5, 0.308019230}, {0.7, 0.758734879}, {1.5, 0.934365497}}};
    double sum = 0, squares = 0, most = 0;
    std::array<int, 5> below{};
    for (int i = 0; i < n; ++i) {
        const double z = normal_draw(7, static_cast<std::uint64_t>(i), 3);
        sum += z;
        squares += z * z;
        most = std::max(most, std::abs(z));
        for (std::size_t s = 0; s < shares.size(); ++s) below[s] += z < shares[s].first ? 1 : 0;
    }
    EXPECT_LT(most, 3);
    EXPECT_GT(most, 2.99);
    EXPECT_NEAR(sum / n, 0, 4 / std::sqrt(n));
    EXPECT_NEAR(cut_deviation, 0.9865783925581086, 1e-15);
    EXPECT_NEAR(std::sqrt(squares / n), cut_deviation, 4 / std::sqrt(2.0 * n));
    for (std::size_t s = 0; s < shares.size(); ++s) {
        const double share = shares[s].second;
        EXPECT_NEAR(below[s] / static_cast<double>(n), share, 4 * std::sqrt(share * (1 - share) / n))
            << shares[s].first;
    }
}

// Of two inputs, two samples and two seeds each has a draw of its own, and neighbours have nothing in common.
TEST(Draws, AreFoundByTheirPlace) {
    EXPECT_EQ(normal_draw(1, 2, 3), normal_draw(1, 2, 3));
    EXPECT_NE(normal_draw(1, 2, 3), normal_draw(1, 2, 4));
    EXPECT_NE(normal_draw(1, 2, 3), normal_draw(1, 3, 3));
    EXPECT_NE(normal_draw(1, 2, 3), normal_draw(2, 2, 3));
    constexpr int n = 100'000;
    double inputs = 0, samples = 0;
    for (int i = 0; i < n; ++i) {
        const auto sample = static_cast<std::uint64_t>(i);
        inputs += normal_draw(1, sample, 0) * normal_draw(1, sample, 1);
        samples += normal_draw(1, sample, 0) * normal_draw(1, sample + 1, 0);
    }
    EXPECT_NEAR(inputs / n, 0, 4 / std::sqrt(n));
    EXPECT_NEAR(samples / n, 0, 4 / std::sqrt(n));
}

}  // namespace
}  // namespace evenhead::solver
