// Generated systems: every extreme occurs, and every one is balanced, in few steps. The laws and the closure
// are judged by equations of the tests' own, written from the specification (tests/agreement). The same at
// length: tests/long/solve.sh.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <thread>

#include "tests/generator/generator.hpp"
#include "tests/long/survey.hpp"

namespace evenhead::test {
namespace {

constexpr int count = 2000;

TEST(Generated, EveryExtremeOccursOftenEnough) {
    std::array<int, tests::extreme_count> seen{};
    for (std::uint64_t seed = 1; seed <= count; ++seed) {
        const tests::Generated made = tests::generate(seed, {1, 300, true});
        ASSERT_TRUE(made.layout.errors.empty()) << "seed " << seed << ": " << made.layout.errors[0].text;
        for (std::size_t i = 0; i < seen.size(); ++i)
            seen[i] += made.extremes.has(static_cast<tests::Extreme>(i));
    }
    for (std::size_t i = 0; i < seen.size(); ++i) EXPECT_GE(seen[i], count / 50) << tests::extreme_names[i];
}

TEST(Generated, EverySystemIsBalancedInFewSteps) {
    const int threads = static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1U, 4U));
    const tests::Survey survey = tests::survey(1, count, {1, 300, true}, threads);
    ASSERT_EQ(survey.count(), count);
    EXPECT_EQ(missed_bars(survey), "");
    // What was made to be hard is hard in the answer too.
    EXPECT_GE(survey.still, count / 50);
    EXPECT_GE(survey.held_back, count / 50);
    EXPECT_GE(survey.sprung_held_back, count / 50);
    EXPECT_LE(survey.with_reason.size(), count / 50);
}

// Four of these took 48 to 93 solves while every step ended at the next valve or head that it would open.
TEST(Generated, LargeSystemsWithManyBendsInTheWayTakeFewStepsToo) {
    const int threads = static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1U, 4U));
    const tests::Survey survey = tests::survey(124, 6, {10000, 10000, true}, threads);
    ASSERT_EQ(survey.count(), 6);
    EXPECT_EQ(missed_bars(survey), "");
}

// Regulators in rings of still water: with other states of theirs another trickle runs round, which no loss
// tells.
TEST(Generated, TricklesThatNoLawTellsAreNoSecondBalance) {
    for (const std::uint64_t seed : {2960, 3139, 11479, 17559}) {
        const tests::Survey survey = tests::survey(seed, 1, {1, 300, true}, 1);
        EXPECT_EQ(missed_bars(survey), "") << "seed " << seed;
        EXPECT_TRUE(survey.with_reason.empty()) << "seed " << seed << ": " << survey.with_reason[0].text;
    }
}

}  // namespace
}  // namespace evenhead::test
