// The laws of the elements: slopes against central differences, inverses, and values from outside.
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "solver/laws/chart.hpp"
#include "solver/laws/darcy_weisbach.hpp"
#include "solver/laws/nozzle.hpp"
#include "solver/laws/series.hpp"
#include "solver/water.hpp"

namespace evenhead::solver {
namespace {

constexpr double gpm = 6.30901964e-5, inch = 0.0254, foot = 0.3048;

struct Named {
    std::string name;
    std::shared_ptr<Law> law;
    double scale;  // m3/s, an ordinary flow
};

std::vector<Named> every_law() {
    std::vector<Named> laws;
    const double q = 10 * gpm;
    const auto add = [&](std::string name, std::shared_ptr<Law> law) {
        laws.push_back({std::move(name), std::move(law), q});
    };
    const double r = hazen_williams_resistance(100 * foot, 150, 1.049 * inch),
                 m = minor_loss_resistance(3, 1.049 * inch);
    add("Hazen-Williams", std::make_shared<PowerLaw>(r, 0, false));
    add("Hazen-Williams with k", std::make_shared<PowerLaw>(r, m, false));
    add("square", std::make_shared<PowerLaw>(0, cv_resistance(8), false));
    add("square, one-way", std::make_shared<PowerLaw>(0, kv_resistance(7), true));
    add("Darcy-Weisbach", std::make_shared<DarcyWeisbach>(30, 0.03, 1.5e-6, 1e-6, 0));
    add("Darcy-Weisbach with k", std::make_shared<DarcyWeisbach>(30, 0.03, 4.5e-5, 1e-6, m));
    add("chart of one row", std::make_shared<LossChart>(Rows{{q, 3}}, false));
    add("chart of one row and L0", std::make_shared<LossChart>(Rows{{0, 2}, {q, 3}}, true));
    add("chart", std::make_shared<LossChart>(Rows{{0.4 * q, 0.5}, {0.8 * q, 1.4}, {1.2 * q, 4}}, false));
    add("chart with L0 and a level stretch",
        std::make_shared<LossChart>(Rows{{0, 1}, {0.5 * q, 2}, {0.9 * q, 2}, {1.3 * q, 5}}, true));
    add("chart with a dip", std::make_shared<LossChart>(Rows{{0, 6}, {0.5 * q, 5.5}, {q, 7}}, true));
    add("one flow test", std::make_shared<FlowTests>(Rows{{q, 8}}));
    add("three flow tests", std::make_shared<FlowTests>(Rows{{0.6 * q, 3}, {q, 8}, {1.5 * q, 20}}));
    add("flow tests that rise by rounding alone",
        std::make_shared<FlowTests>(Rows{{0.6 * q, 3}, {std::nextafter(0.6 * q, 1), 3}, {q, 8}}));
    add("pump", std::make_shared<PumpLaw>(Rows{{0.2 * q, 40}, {0.8 * q, 36}, {1.4 * q, 25}}));
    add("pump of one row", std::make_shared<PumpLaw>(Rows{{q, 30}}));
    for (const double x : {0.05, 0.3, 0.5, 1.0}) {
        add("nozzle x = " + std::to_string(x),
            std::make_shared<HeadLaw>(NozzleCurve({{25, q}}, x), 0, std::nullopt));
    }
    add("nozzle of rows", std::make_shared<HeadLaw>(NozzleCurve({{14, 0.7 * q}, {21, 0.9 * q}, {28, q}}, 0.5),
                                                    0, std::nullopt));
    add("head with swing joint",
        std::make_shared<HeadLaw>(NozzleCurve({{25, q}}, 0.5), cv_resistance(12), std::nullopt));
    add("regulated head", std::make_shared<HeadLaw>(NozzleCurve({{25, q}}, 0.5), cv_resistance(12), 21.0));
    auto series = std::make_shared<Series>(1e-7);
    for (const Named& part : std::vector<Named>(laws.begin(), laws.begin() + 3))
        series->add(*part.law, false);
    series->add(*laws[9].law, true);
    add("series, one reversed", series);
    return laws;
}

TEST(Laws, SlopeIsTheDerivativeOfTheLoss) {
    for (const Named& named : every_law()) {
        int judged = 0;
        for (double share = -1.97; share < 2; share += 0.0613) {
            const double q = share * named.scale, h = 1e-6 * named.scale;
            if (q - h <= named.law->low() || q + h >= named.law->high()) continue;
            const LossRange range = named.law->losses(q);
            if (range.high > range.low || std::abs(q) < 2 * h) continue;
            const double difference = (named.law->loss(q + h) - named.law->loss(q - h)) / (2 * h);
            // Kinks between rows may lie inside the difference's span: none of the flows above is that near
            // to one.
            EXPECT_NEAR(named.law->slope(q), difference,
                        2e-6 * std::abs(difference) + 1e-3 / named.scale * 1e-3)
                << named.name << " at " << share;
            ++judged;
        }
        EXPECT_GT(judged, 8) << named.name;
    }
}

TEST(Laws, NeverFall) {
    for (const Named& named : every_law()) {
        double last = -infinity;
        for (double share = -3; share < 3; share += 0.01) {
            const double q = share * named.scale;
            if (q < named.law->low() || q > named.law->high()) continue;
            const LossRange range = named.law->losses(q);
            EXPECT_GE(range.high, range.low) << named.name;
            EXPECT_GE(std::isinf(range.low) ? last : range.low, last - 1e-12)
                << named.name << " at " << share;
            if (std::isfinite(range.high)) last = range.high;
        }
    }
}

TEST(Laws, FlowPutsTheHeightOnTheCurve) {
    for (const Named& named : every_law()) {
        for (double D = -60; D < 60; D += 0.731) {
            const double q = named.law->flow(D, 0.3 * named.scale);
            ASSERT_GE(q, named.law->low()) << named.name;
            ASSERT_LE(q, named.law->high()) << named.name;
            const LossRange range = named.law->losses(q);
            const double off = std::max({0.0, range.low - D, D - range.high});
            // A level law ends at a height: beyond, no flow has it (the regulated or constant curve is
            // upright there).
            if (named.name == "pump of one row" || named.name == "series, one reversed") continue;
            EXPECT_LE(off, 1e-9 * std::max(1.0, std::abs(D))) << named.name << " at " << D;
        }
    }
}

// Published entries and formulas; tests/validation holds the long tables.
TEST(Laws, HazenWilliamsByHand) {
    // 10.67 L q^1.852 / (C^1.852 D^4.8704): 30 m of 50 mm at 2 L/s and C = 140, worked with a pocket
    // calculator's digits.
    const double expected = 10.67 * 30 * std::exp(1.852 * std::log(0.002 / 140) - 4.8704 * std::log(0.05));
    EXPECT_NEAR(PowerLaw(hazen_williams_resistance(30, 140, 0.05), 0, false).loss(0.002), expected,
                1e-12 * expected);
}

TEST(Laws, ValveCoefficients) {
    // cv: US gpm of 60 degF water at 1 psi. 2.31 ft of water are 1 psi: the definition in feet, to the 0.1 %
    // of that number.
    EXPECT_NEAR(PowerLaw(0, cv_resistance(10), false).loss(10 * gpm) / foot, 2.31, 0.0025);
    // 1 kv = 1.156 cv (references in the validation folder valve-coefficients): same loss at the same flow.
    EXPECT_NEAR(cv_resistance(11.56) / kv_resistance(10), 1, 1e-3);
}

TEST(Laws, LaminarTransitionTurbulent) {
    EXPECT_DOUBLE_EQ(friction_factor(1000, 0.001), 0.064);
    // python3-fluids fluids.friction.Colebrook(1e5, 1e-3) and (1e8, 0.05): ten printed digits.
    EXPECT_NEAR(friction_factor(1e5, 1e-3), 0.0221745359, 1e-10);
    EXPECT_NEAR(friction_factor(1e8, 0.05), 0.0715509041, 1e-10);
    const DarcyWeisbach pipe(10, 0.02, 1.5e-6, 1e-6, 0);
    const double q2000 = 2000 * 3.14159265358979 * 0.02 * 1e-6 / 4;
    const double middle = pipe.loss(1.5 * q2000);
    EXPECT_NEAR(middle, (pipe.loss(q2000) + pipe.loss(2 * q2000)) / 2, 1e-9 * middle);
}

TEST(Laws, NozzleOfOneRowAndOfMore) {
    const NozzleCurve one({{20, 1e-4}}, 0.5);
    EXPECT_NEAR(one.flow(80), 2e-4, 1e-18);
    EXPECT_EQ(one.flow(-1), 0);
    const NozzleCurve two({{20, 1e-4}, {40, 1.5e-4}}, 0.5);
    EXPECT_NEAR(two.flow(std::sqrt(800.0)), std::sqrt(1.5) * 1e-4, 1e-16);  // half way in both logarithms
    EXPECT_NEAR(two.flow(160), 3e-4, 1e-16);                                // exponent 0.5 beyond
    EXPECT_NEAR(two.flow(5), 0.5e-4, 1e-16);
}

TEST(Laws, ConstantDrawStandsUprightAtNoPressure) {
    const HeadLaw head(NozzleCurve({{20, 1e-4}}, 0), 0, std::nullopt);
    EXPECT_EQ(head.flow(-1, 0), 0);
    EXPECT_EQ(head.flow(1e-6, 0), 1e-4);
    EXPECT_EQ(head.flow(0, 0.4e-4), 0.4e-4);
    EXPECT_EQ(head.losses(0.4e-4).low, 0);
}

TEST(Laws, RegulationHoldsTheNozzle) {
    const double m = cv_resistance(12);
    const HeadLaw head(NozzleCurve({{25, 1e-4}}, 0.5), m, 21.0);
    const double held = 1e-4 * std::sqrt(21.0 / 25);
    EXPECT_DOUBLE_EQ(head.flow(60, 0), held);
    EXPECT_DOUBLE_EQ(head.nozzle_pressure(60, held), 21);
    EXPECT_TRUE(head.holding(60));
    EXPECT_FALSE(head.holding(20));
    const double q = head.flow(15, 0);
    EXPECT_NEAR(head.nozzle_pressure(15, q) + m * q * q, 15, 1e-9);
}

TEST(Laws, SupplyThroughItsTests) {
    const FlowTests tests(Rows{{0.01, 5}, {0.02, 30}});
    EXPECT_DOUBLE_EQ(tests.loss(0.01), 5);
    EXPECT_DOUBLE_EQ(tests.loss(0.02), 30);
    const double u =
        (std::pow(0.03, 1.852) - std::pow(0.01, 1.852)) / (std::pow(0.02, 1.852) - std::pow(0.01, 1.852));
    EXPECT_NEAR(tests.loss(0.03), 5 + 25 * u, 1e-10);
    EXPECT_DOUBLE_EQ(tests.loss(-0.01), -5);
}

// Flow tests may fall by less than heights can tell: level, with one flow all the same where they stand in a
// chain.
TEST(Laws, SupplyThatHardlyFalls) {
    for (const Rows& drops : {Rows{{0.01, 0}}, Rows{{0.01, 1e-20}}, Rows{{0.01, 5}, {0.02, 5}},
                              Rows{{0.01, 5}, {0.02, std::nextafter(5, 6)}}}) {
        const FlowTests tests(drops);
        EXPECT_FALSE(tests.strict());
        Series chain(1e-7);
        chain.add(tests, false);
        for (const double D : {-6.0, -1e-8, 0.0, 1e-8, 4.9, 6.0}) {
            const double q = chain.flow(D, 0);
            EXPECT_NEAR(chain.loss(q), D, 1e-9 * std::max(1.0, std::abs(D))) << drops.size() << " at " << D;
        }
        EXPECT_GT(chain.slope(0.015), 0);
    }
}

TEST(Laws, SpringLetsNothingPassBelowItsLoss) {
    const LossChart both_ways({{0, 2}, {1e-3, 3}}, false), one_way({{0, 2}, {1e-3, 3}}, true);
    for (const double D : {-1.9, 0.0, 1.9}) EXPECT_EQ(both_ways.flow(D, 1e-3), 0) << D;
    EXPECT_NEAR(both_ways.flow(-3, 0), -1e-3, 1e-12);
    EXPECT_EQ(one_way.flow(-50, 0), 0);
    EXPECT_NEAR(one_way.flow(3, 0), 1e-3, 1e-12);
}

TEST(Laws, SeriesAddsLossesAndNarrowsTheDomain) {
    const PowerLaw pipe(1e5, 0, false), check(0, 1e6, true);
    Series series(1e-9);
    series.add(pipe, true);
    series.add(check, false, 2e-3);
    EXPECT_EQ(series.low(), 0);
    EXPECT_EQ(series.high(), 2e-3);
    EXPECT_NEAR(series.loss(1e-3), pipe.loss(1e-3) + check.loss(1e-3), 1e-12);
    EXPECT_EQ(series.flow(1e9, 0), 2e-3);
}

}  // namespace
}  // namespace evenhead::solver
