// The table of faults as the program reads it. Severities of a rank are checked against the quantiles of
// their distributions written out.
#include "model/faults.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>
#include <string>

#include "model/catalogue/reader.hpp"

namespace evenhead::model {
namespace {

constexpr double psi = 6894.757293168361;

TEST(FaultTable, HasEveryKindOnceWithANameAndAWeight) {
    std::set<std::string_view> names;
    double sum = 0;
    for (std::size_t i = 0; i < fault_kinds; ++i) {
        const auto kind = static_cast<FaultKind>(i);
        names.insert(fault_name(kind));
        EXPECT_GT(fault_priors()[kind].weight, 0) << fault_name(kind);
        sum += fault_priors()[kind].weight;
    }
    EXPECT_EQ(names.size(), fault_kinds);
    EXPECT_EQ(fault_name(FaultKind::narrow_run), "narrow-run");
    EXPECT_EQ(fault_name(FaultKind::gauge_off), "gauge-off");
    EXPECT_GT(fault_priors().as_drawn, 0);
    EXPECT_GT(fault_priors().two_faults, 0);
    EXPECT_LT(fault_priors().two_faults, sum);
    EXPECT_GT(fault_priors().unexplained, 0);
    EXPECT_GT(fault_priors().bad_reading, 0);
    EXPECT_LT(fault_priors().bad_reading, 0.2);
}

TEST(FaultTable, SeveritiesLieInTheirRangeAndRiseWithTheirRank) {
    for (std::size_t i = 0; i < fault_kinds; ++i) {
        const auto kind = static_cast<FaultKind>(i);
        if (kind == FaultKind::second_zone_on) continue;
        const FaultPrior& prior = fault_priors()[kind];
        const bool signs = prior.even == FaultPrior::Even::signs;
        EXPECT_LT(prior.low, prior.high) << fault_name(kind);
        EXPECT_NEAR(prior.severity(0), signs ? -prior.high : prior.low, 1e-12 * std::abs(prior.high));
        EXPECT_NEAR(prior.severity(1), prior.high, 1e-12 * std::abs(prior.high));
        for (double rank = 0; rank < 0.999; rank += 0.01)
            EXPECT_LE(prior.severity(rank), prior.severity(rank + 0.01)) << fault_name(kind);
    }
}

FaultPrior prior_of(const std::string& row) {
    const FaultPriors read = read_fault_priors("fault " + row + "\n");
    for (std::size_t i = 0; i < fault_kinds; ++i)
        if (row.starts_with(fault_name(static_cast<FaultKind>(i)))) return read.kinds[i];
    return {};
}

TEST(FaultTable, RanksAreQuantilesOfWhatItIsEvenIn) {
    // Even in the severity: the median is the mean of the ends.
    EXPECT_DOUBLE_EQ(prior_of("narrow-run 1 10 50 % itself").severity(0.5), 0.30);
    // Even in its logarithm: the geometric mean.
    EXPECT_DOUBLE_EQ(prior_of("larger-nozzle 1 110 200 % log").severity(0.5), std::sqrt(1.1 * 2.0));
    // Even in the logarithm of what is left open: 1 less the geometric mean of what is.
    EXPECT_DOUBLE_EQ(prior_of("blockage 1 60 98 % open").severity(0.5), 1 - std::sqrt(0.4 * 0.02));
    // As often below zero as above, and at least 3 psi off either way.
    const FaultPrior gauge = prior_of("gauge-off 1 3 15 psi signs");
    EXPECT_NEAR(gauge.severity(0.25), -9 * psi, 1e-9);
    EXPECT_NEAR(gauge.severity(0.75), 9 * psi, 1e-9);
    EXPECT_NEAR(gauge.severity(0.5 - 1e-12), -3 * psi, 1e-6);
    EXPECT_NEAR(gauge.severity(0.5), 3 * psi, 1e-9);
}

TEST(FaultTable, UnitsBecomeSiOrAShareOfTheirBase) {
    EXPECT_DOUBLE_EQ(prior_of("higher-ground 3 5 30 ft itself").low, 1.524);
    EXPECT_DOUBLE_EQ(prior_of("higher-ground 3 2 9 m itself").high, 9);
    EXPECT_NEAR(prior_of("gauge-off 2 0.2 1 bar signs").high, 1e5, 1e-9);
    EXPECT_DOUBLE_EQ(prior_of("extra-heads 5 1 6 heads itself").high, 6);
    const FaultPrior leak = prior_of("leak 14 10 150 of-flow log");
    EXPECT_EQ(leak.base, FaultPrior::Base::of_flow);
    EXPECT_DOUBLE_EQ(leak.low, 0.1);
    EXPECT_DOUBLE_EQ(leak.high, 1.5);
    EXPECT_EQ(prior_of("low-supply 1 10 60 of-static itself").base, FaultPrior::Base::of_static);
    EXPECT_EQ(prior_of("regulator-low 1 10 80 of-set itself").base, FaultPrior::Base::of_set);
    EXPECT_EQ(prior_of("blockage 1 60 98 % open").base, FaultPrior::Base::itself);
}

TEST(FaultTable, WhatAFileDoesNotGiveStaysAsItIs) {
    const FaultPriors read = read_fault_priors(
        "# a table of one's own\n\nfault leak 99   # often here\nanswer as-drawn 0\nbad-reading 0.05 8\n");
    EXPECT_EQ(read[FaultKind::leak].weight, 99);
    EXPECT_EQ(read[FaultKind::leak].high, fault_priors()[FaultKind::leak].high);
    EXPECT_EQ(read[FaultKind::blockage].weight, fault_priors()[FaultKind::blockage].weight);
    EXPECT_EQ(read.as_drawn, 0);
    EXPECT_EQ(read.two_faults, fault_priors().two_faults);
    EXPECT_EQ(read.bad_reading, 0.05);
    EXPECT_EQ(read.bad_reading_spread, 8);
}

TEST(FaultTable, WhatIsWrongNamesItsLine) {
    for (const auto& [row, words] : {
             std::pair{"fault blockige 1", "nobody knows the word blockige"},
             {"fault leak -1", "a weight is 0 or more"},
             {"fault leak nan", "a weight is 0 or more"},
             {"fault leak many", "not a number: many"},
             {"fault leak 1 10 150 of-flow", "a line is: fault KIND"},
             {"fault leak 1 10 150 of-flow often", "nobody knows the word often"},
             {"fault leak 1 150 10 of-flow log", "low is above high"},
             {"fault leak 1 0 10 of-flow log", "in the logarithm, low must be above 0"},
             {"fault blockage 1 60 100 % open", "below 100 %"},
             {"fault gauge-off 1 3 15 furlong signs", "not a unit of the tables: furlong"},
             {"answer maybe 3", "nobody knows the word maybe"},
             {"answer as-drawn", "a line is: fault KIND"},
             {"bad-reading 0.5 10", "less than 20 times in 100"},
             {"bad-reading 0.01 0.5", "strays by 1 or more"},
             {"leak 3", "a line is: fault KIND"},
         }) {
        try {
            read_fault_priors(std::string("answer as-drawn 1\n\n") + row + "\n");
            ADD_FAILURE() << row << " is taken";
        } catch (const tables::LineFault& fault) {
            EXPECT_EQ(fault.line, 3) << row;
            EXPECT_NE(fault.words.find(words), std::string::npos) << row << ": " << fault.words;
        }
    }
}

}  // namespace
}  // namespace evenhead::model
