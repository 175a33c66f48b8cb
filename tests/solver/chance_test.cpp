// The chance of too little pressure, where a nozzle behind a valve is all there is: p = P / (1 + (k/cv)^2),
// so that SciPy and a generator of the standard library say what must come out.
#include "solver/review/chance.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "solver/inputs/spreads.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

using model::Quantity;
using solver::Chance;
using solver::ChanceOptions;

constexpr double cv = 4, k = 0.5;
constexpr double share = 1 / (1 + (k / cv) * (k / cv));

/// Nothing is off but what a test says.
const model::Spreads& none() {
    static const model::Spreads spreads{};
    return spreads;
}

/// street at 60 psi - V1 - H1, which wants so much.
SystemBuilder zone(double wanted) {
    SystemBuilder b;
    b.system.ground = Quantity{0, 0};
    b.nozzle(1 * psi, k * gpm);
    b.system.nozzles[0].min = Quantity{wanted * psi, 0};
    b.supply("street", 60 * psi);
    b.valve("V1", cv);
    b.head("H1");
    b.line({"street", "V1", "H1"}, 0, 1);
    b.default_runs();
    return b;
}

Chance chance(const model::System& system, int samples = 20'000, int threads = 2, std::uint64_t seed = 1,
              const model::Spreads* spreads = &none()) {
    return solver::find_chance(system, find_layout(system), {samples, seed, threads, {}, spreads});
}

/// Four standard errors of a share of n samples.
double within(double of, double n) {
    return 4 * std::sqrt(of * (1 - of) / n);
}

// scipy.stats.truncnorm(-3, 3): of cdf((57.5/share - 60)/2) and share (60 + 2 ppf(5 %, 95 %)).
TEST(Chance, OfOneUncertainInputIsItsDistribution) {
    SystemBuilder b = zone(57.5);
    b.system.supplies[0].static_pressure.deviation = 2 * psi;
    const Chance found = chance(b.system);
    ASSERT_EQ(found.heads.size(), 1U);
    const solver::HeadChance& of = found.heads[0];
    EXPECT_EQ(of.samples, 20'000U);
    EXPECT_EQ(found.unsolved, 0U);
    EXPECT_EQ(found.inputs.size(), 1U);
    EXPECT_NEAR(of.pressure / psi, 60 * share, 1e-5);
    EXPECT_NEAR(of.below, 0.210848, within(0.210848, 20'000));
    EXPECT_NEAR(of.band[0] / psi, 55.8608, 0.08);
    EXPECT_NEAR(of.band[1] / psi, 62.2930, 0.08);
    // The pressure follows the supply in a straight line, so first order lacks nothing but the cut tails.
    EXPECT_NEAR(of.first_order_below, 0.210848, 0.005);
    EXPECT_NEAR(of.first_order_band[0] / psi, 55.8608, 0.03);
}

// The same question asked of another generator, with the same law written down: half a million draws.
TEST(Chance, OfSeveralInputsIsAsAnIndependentSimulationSays) {
    SystemBuilder b = zone(56);
    b.system.supplies[0].static_pressure.deviation = 2 * psi;
    b.system.valves[0].loss.coefficient.deviation = 1;  // a quarter: far from straight
    b.system.nozzles[0].rows[0].value.deviation = 0.1 * k * gpm;
    std::mt19937_64 generator(5);
    std::normal_distribution<double> normal;
    const auto cut = [&] {
        double z = normal(generator);
        while (std::abs(z) > 3) z = normal(generator);
        return z;
    };
    constexpr int n = 500'000;
    int below = 0;
    for (int i = 0; i < n; ++i) {
        const double P = 60 + 2 * cut(), its_cv = cv + cut(), its_k = k * (1 + 0.1 * cut());
        below += P / (1 + its_k * its_k / (its_cv * its_cv)) < 56 ? 1 : 0;
    }
    const double expected = below / static_cast<double>(n);
    const solver::HeadChance of = chance(b.system, 40'000).heads[0];
    EXPECT_NEAR(of.below, expected, within(expected, 40'000) + within(expected, n));
    // First order, by hand: dp/dP, dp/dcv and dp/dk where they stand; it knows nothing of the bend.
    const double dP = share, dcv = 60 * share * share * 2 * k * k / std::pow(cv, 3), dk = -dcv * cv / k;
    const double deviation = 0.98657839 * std::sqrt(4 * dP * dP + dcv * dcv + 0.01 * k * k * dk * dk);
    EXPECT_NEAR(of.first_order_below, std::erfc((60 * share - 56) / deviation / std::sqrt(2)) / 2, 1e-6);
    EXPECT_GT(std::abs(of.first_order_below - expected), within(expected, 40'000));
}

// Two heads of one nozzle share its draw: they stay alike in every sample.
TEST(Chance, OneDrawForAllThatShareIt) {
    SystemBuilder b = zone(58);
    b.head("H2");
    b.pipe("V1", "H2", 0, 1);
    b.system.nozzles[0].rows[0].value.deviation = 0.2 * k * gpm;
    const Chance found = chance(b.system, 2000);
    ASSERT_EQ(found.heads.size(), 2U);
    EXPECT_GT(found.heads[0].below, 0.05);
    EXPECT_EQ(found.heads[0].below, found.heads[1].below);
    EXPECT_EQ(found.heads[0].band, found.heads[1].band);
}

TEST(Chance, AnElevationMovesTheNozzleAndWhatTakesItFromThere) {
    SystemBuilder b = zone(59);
    b.at("street").elevation = Quantity{0, 0};
    b.at("V1").elevation = Quantity{0, 0.5};  // H1 gives none, and takes that of the valve
    b.system.ground = std::nullopt;
    for (model::Pipe& pipe : b.system.pipes) pipe.length = {0.01, 0};
    const Chance found = chance(b.system, 5000);
    const solver::HeadChance& of = found.heads[0];
    // 1 m is 1.4221 psi (0.4335 psi a foot); the band is 2 x 1.64 x 0.5 m wide, and the nozzle's share of
    // that.
    EXPECT_NEAR((of.band[1] - of.band[0]) / psi, share * 1.4221 * 1.6365, 0.06);
    EXPECT_NEAR((of.first_order_band[1] - of.first_order_band[0]) / psi, share * 1.4221 * 1.6228, 0.01);
}

TEST(Chance, TheSameToTheByteOnAnyThreadsAndOtherWithAnotherSeed) {
    SystemBuilder b = zone(57.5);
    b.system.supplies[0].static_pressure.deviation = 2 * psi;
    const auto one = chance(b.system, 999, 1).heads[0], three = chance(b.system, 999, 3).heads[0],
               other = chance(b.system, 999, 1, 2).heads[0];
    EXPECT_EQ(one.below, three.below);
    EXPECT_EQ(one.band, three.band);
    EXPECT_NE(one.band, other.band);
}

TEST(Chance, WhatIsUsualServesWhereTheCaseIsSilent) {
    SystemBuilder b = zone(57.5);
    const model::System usual = solver::with_spreads(b.system, model::usual_spreads());
    EXPECT_NEAR(usual.supplies[0].static_pressure.deviation, 2.5 * psi, 1e-9);
    EXPECT_NEAR(usual.nozzles[0].rows[0].value.deviation, 0.025 * k * gpm, 1e-15);
    EXPECT_NEAR(usual.pipes[0].size->c.deviation, 2.5, 1e-12);
    EXPECT_EQ(usual.valves[0].loss.coefficient.deviation, 0);
    b.system.supplies[0].static_pressure.deviation = 1 * psi;
    EXPECT_EQ(solver::with_spreads(b.system, model::usual_spreads()).supplies[0].static_pressure.deviation,
              1 * psi);
    b.system.supplies[0].static_pressure = {0, 0};
    EXPECT_EQ(solver::with_spreads(b.system, model::usual_spreads()).supplies[0].static_pressure.deviation,
              0);
    // Nothing wanted: a band, and no chance.
    b = zone(57.5);
    b.system.nozzles[0].min.reset();
    const Chance found = chance(b.system, 100, 1, 1, &model::usual_spreads());
    EXPECT_TRUE(std::isnan(found.heads[0].below));
    EXPECT_LT(found.heads[0].band[0], found.heads[0].band[1]);
}

TEST(Chance, ATableOfSpreadsIsReadOrRefusedWithItsLine) {
    const model::Spreads read =
        model::read_spreads("# mine\nspread static 3 psi read twice\nspread nozzle 0 %\n");
    EXPECT_NEAR(read[model::SpreadKind::static_pressure].amount, 3 * psi, 1e-9);
    EXPECT_EQ(read[model::SpreadKind::static_pressure].basis, "read twice");
    EXPECT_EQ(read[model::SpreadKind::nozzle].amount, 0);
    EXPECT_NEAR(read[model::SpreadKind::elevation].amount, 1 * foot, 1e-12) << "as the catalogue has it";
    for (const char* wrong :
         {"spread statik 3 psi", "spread static 3 ft", "spread static -1 psi", "spread c 90 %",
          "spread elevation 5 %", "spraed static 3 psi", "spread static 3"})
        EXPECT_THROW(model::read_spreads(wrong), std::logic_error) << wrong;
}

}  // namespace
}  // namespace evenhead::test
