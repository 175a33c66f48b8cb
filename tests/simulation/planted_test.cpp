// A seeded slice of the simulation: faults planted in three shipped systems, readings with noise, five of
// them, the last two where the diagnosis asks for them. All places, and the specification's bars:
// tests/long/diagnosis.sh.
#include <gtest/gtest.h>

#include <cmath>
#include <iterator>

#include "io/read/case.hpp"
#include "tests/simulation/simulation.hpp"

namespace evenhead::tests {
namespace {

std::vector<Simulated> slice() {
    std::vector<Simulated> all;
    for (const char* name : {"old-commercial", "contractor-layout", "corner-garden"}) {
        const io::CaseReading reading =
            io::read_case(std::string(EVENHEAD_SOURCE_DIR) + "/cases/" + name + "/case.toml");
        if (!reading.system) throw std::runtime_error(std::string(name) + " is not readable");
        SimulationOptions options;
        options.cases = PLANTED_CASES / 3;
        auto simulated = simulate(*reading.system, reading.layout, options);
        std::move(simulated.begin(), simulated.end(), std::back_inserter(all));
    }
    return all;
}

/// Whether `right` of `count` may come of a chance of `least`: not below its 99 % interval.
bool may_reach(std::size_t right, std::size_t count, double least) {
    const auto n = static_cast<double>(count);
    return static_cast<double>(right) / n >= least - 2.326 * std::sqrt(least * (1 - least) / n) - 0.5 / n;
}

TEST(Planted, IsFoundAsOftenAsIsSaid) {
    const std::vector<Simulated> cases = slice();
    const Score found = score(cases);
    SCOPED_TRACE(score_text(found));
    ASSERT_GT(found.faults, PLANTED_CASES / 2);  // what no gauge would notice is not counted
    EXPECT_TRUE(may_reach(found.among_three, found.faults, 0.99));
    EXPECT_LE(found.median_places, 4u);
    // The specification asks for 95 % in a leading group of at most 3 places, in the median, after five
    // readings. That is not reached: see the long run. What is said must be true, and it must not get worse.
    EXPECT_TRUE(may_reach(found.first, found.faults, 0.90));
    double said = 0;
    for (const Simulated& of : cases) said += of.healthy ? 0 : of.leading;
    const auto count = static_cast<double>(found.faults);
    EXPECT_TRUE(calibrated(found.first, found.faults, said / count)) << "said " << said / count;
    EXPECT_TRUE(may_reach(found.in_band, found.with_band, 0.85));
}

}  // namespace
}  // namespace evenhead::tests
