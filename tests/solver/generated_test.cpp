// Generated systems: how often each extreme occurs.
#include <gtest/gtest.h>

#include <array>
#include <cstdint>

#include "tests/generator/generator.hpp"

namespace evenhead::test {
namespace {

TEST(Generated, EveryExtremeOccursOftenEnough) {
    constexpr std::uint64_t count = 2000;
    std::array<int, tests::extreme_count> seen{};
    for (std::uint64_t seed = 1; seed <= count; ++seed) {
        const tests::Generated made = tests::generate(seed, {1, 300, true});
        ASSERT_TRUE(made.layout.errors.empty()) << "seed " << seed << ": " << made.layout.errors[0].text;
        for (std::size_t i = 0; i < seen.size(); ++i)
            seen[i] += made.extremes.has(static_cast<tests::Extreme>(i));
    }
    for (std::size_t i = 0; i < seen.size(); ++i) EXPECT_GE(seen[i], count / 50) << tests::extreme_names[i];
}

}  // namespace
}  // namespace evenhead::test
