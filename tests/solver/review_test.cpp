// The review of systems that a pencil can follow: constant draws through pipes of known loss (Hazen-Williams
// as in the specification: d = 10.67 L q^1.852 / (C^1.852 D^4.8704) m of water), flat ground, valves that
// lose nothing.
#include <gtest/gtest.h>

#include <cmath>

#include "model/graph.hpp"
#include "solver/review/review.hpp"
#include "solver/water.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

using model::Quantity;
using solver::ElementKind;
using solver::RuleId;

constexpr double q = 10 * gpm;

/// Pa lost by `flow` (m3/s) in a pipe.
double friction(double length, double bore, double flow, double temperature = 15.5555556) {
    const double height =
        10.67 * length * std::pow(flow, 1.852) / (std::pow(150, 1.852) * std::pow(bore, 4.8704));
    return height * solver::density(temperature) * 9.80665;
}

class ReviewTest : public ::testing::Test {
  protected:
    /// street - V - H, a constant draw of 10 gpm that wants 40 psi.
    void plain() {
        b.supply("street", 60 * psi);
        b.valve("V").loss = {};
        nozzle(40);
        b.head("H");
        b.pipe("street", "V", 30, 0.025);
        b.pipe("V", "H", 0, 0.025);
        b.default_runs();
    }
    void nozzle(double min) {
        b.nozzle(30 * psi, q);
        b.system.nozzles.back().exponent = 0;
        b.system.nozzles.back().min = Quantity{min * psi, 0};
    }
    solver::Review review() {
        layout = find_layout(b.system);
        solver::ReviewOptions options;
        options.threads = 2;
        return solver::review(b.system, layout, options);
    }
    static const solver::RuleRow& row(const solver::Review& review, RuleId rule, std::size_t condition) {
        for (const solver::RuleRow& row : review.rules.rows)
            if (row.rule == rule && row.condition == condition) return row;
        ADD_FAILURE() << "no such row";
        static const solver::RuleRow nothing;
        return nothing;
    }

    SystemBuilder b;
    model::Layout layout;
};

TEST_F(ReviewTest, EveryRuleUnderEveryConditionAlsoWhereItHolds) {
    plain();
    const solver::Review found = review();
    ASSERT_EQ(found.rules.conditions.size(), 3u);
    const double pressure = 60 * psi - friction(30, 0.025, q);
    const solver::RuleRow& given = row(found, RuleId::head_pressure, 0);
    EXPECT_NEAR(given.worst.value, pressure, 1);
    EXPECT_NEAR(given.worst.margin, pressure - 40 * psi, 1);
    EXPECT_FALSE(given.worst.fails);
    EXPECT_FALSE(given.deciding);
    const solver::RuleRow& low = row(found, RuleId::head_pressure, 1);
    EXPECT_NEAR(low.worst.value, pressure - 10 * psi, 1);
    EXPECT_TRUE(low.deciding);
    // Velocity goes with the flow, which is the same: the first condition decides.
    EXPECT_TRUE(row(found, RuleId::velocity, 0).deciding);
    EXPECT_NEAR(row(found, RuleId::velocity, 0).worst.value, q / (3.14159265 / 4 * 0.025 * 0.025), 1e-6);
    // At the highest static only ratings are judged.
    for (const solver::RuleRow& each : found.rules.rows)
        EXPECT_TRUE(each.condition != 2 || each.rule == RuleId::pipe_rating || each.rule == RuleId::surge);
}

TEST_F(ReviewTest, StaticHighestDecidesARating) {
    plain();
    model::PipeSize& main = b.system.pipes[0].size.edit();
    main.rating = Quantity{65 * psi, 0};  // 60 psi as given, 70 psi at the highest
    solver::Review found = review();
    EXPECT_FALSE(row(found, RuleId::pipe_rating, 0).worst.fails);
    const solver::RuleRow& high = row(found, RuleId::pipe_rating, 2);
    EXPECT_TRUE(high.worst.fails);
    EXPECT_TRUE(high.deciding);
    EXPECT_NEAR(high.worst.value, 70 * psi, 1);
    ASSERT_EQ(found.rules.findings.size(), 1u);
    EXPECT_EQ(found.rules.findings[0].condition, 2u);
    EXPECT_FALSE(found.within_limits());

    // A spread that the case gives counts instead: half of 6 psi is the deviation.
    b.system.supplies[0].static_pressure.deviation = 3 * psi;
    found = review();
    EXPECT_NEAR(row(found, RuleId::pipe_rating, 2).worst.value, 66 * psi, 1);
    EXPECT_TRUE(found.rules.conditions[2].by_spread);
}

TEST_F(ReviewTest, ConditionsOfTheCaseTakeThePlaceOfTheUsualOnes) {
    plain();
    model::Condition worn;
    worn.id = "worn";
    worn.nozzle = model::Change{model::Change::How::times, 1.2};
    b.system.conditions = {worn};
    const solver::Review found = review();
    ASSERT_EQ(found.rules.conditions.size(), 2u);
    EXPECT_EQ(found.rules.conditions[1].change.id, "worn");
    EXPECT_NEAR(row(found, RuleId::head_pressure, 1).worst.value, 60 * psi - friction(30, 0.025, 1.2 * q), 1);
    EXPECT_TRUE(row(found, RuleId::velocity, 1).deciding);
}

TEST_F(ReviewTest, AClaimIsJudgedAsGivenOnly) {
    plain();
    b.system.valves[0].stated_flow = Quantity{10.4 * gpm, 0};  // within 5 %
    b.system.heads[0].stated_pressure = Quantity{70 * psi, 0};
    const solver::Review found = review();
    ASSERT_EQ(found.rules.findings.size(), 1u);
    EXPECT_EQ(found.rules.findings[0].finding.rule, RuleId::stated);
    EXPECT_EQ(found.rules.findings[0].condition, 0u);
    EXPECT_NEAR(found.rules.findings[0].finding.limit, 0.95 * 70 * psi, 1);
    for (const solver::RuleRow& each : found.rules.rows)
        EXPECT_TRUE(each.rule != RuleId::stated || each.condition == 0u);
    // Both stand beside what is computed, within or not.
    ASSERT_EQ(found.rules.claims.size(), 2u);
    const solver::Claim &flow = found.rules.claims[0], &pressure = found.rules.claims[1];
    EXPECT_EQ(flow.dimension, model::Dimension::flow);
    EXPECT_NEAR(flow.off(), (10 - 10.4) / 10.4, 1e-6);
    EXPECT_FALSE(flow.fails);
    EXPECT_NEAR(pressure.computed, 60 * psi - friction(30, 0.025, q), 1);
    EXPECT_TRUE(pressure.fails);
}

TEST_F(ReviewTest, MarginsAreTheDropThatTheHeadStands) {
    plain();
    b.system.supplies[0].tests = {{{q, 0}, {55 * psi, 0}}};  // at 10 gpm the supply gives 55 psi
    const double spare = 55 * psi - friction(30, 0.025, q) - 40 * psi;
    solver::Review found = review();
    ASSERT_EQ(found.margins.size(), 1u);
    EXPECT_NEAR(found.margins[0].drop, spare, 0.01 * psi);
    EXPECT_LE(found.margins[0].drop, spare + 1);
    EXPECT_FALSE(found.margins[0].at_least);

    // Wanting 20 psi more than it gets it needs a rise.
    b.system.nozzles[0].min = Quantity{40 * psi + spare + 20 * psi, 0};
    found = review();
    ASSERT_EQ(found.margins.size(), 1u);
    EXPECT_NEAR(found.margins[0].drop, -20 * psi, 0.01 * psi);
}

TEST_F(ReviewTest, AHeadBehindARegulatorIsMendedByNoPressure) {
    plain();
    b.system.valves[0].set = Quantity{30 * psi, 0};
    const solver::Review found = review();
    ASSERT_EQ(found.margins.size(), 1u);
    EXPECT_TRUE(std::isnan(found.margins[0].drop));
}

TEST_F(ReviewTest, RepairsGainWhatTheLargerPipeLosesLess) {
    plain();
    model::CustomSize small, large, larger;
    for (auto* size : {&small, &large, &larger}) {
        size->size.kind = "own";
        size->size.c = {150, 0};
    }
    small.size.nominal = "a";
    small.size.bore = {0.020, 0};
    large.size.nominal = "b";
    large.size.bore = {0.026, 0};
    larger.size.nominal = "c";
    larger.size.bore = {0.033, 0};
    b.system.kinds = {larger, small, large};
    b.system.pipes[0].size = small.size;
    b.system.nozzles[0].min = Quantity{59 * psi, 0};
    nozzle(20);  // the other nozzle of the case draws half as much and wants less
    b.system.nozzles[1].rows[0].value.value = q / 2;
    const solver::Review found = review();
    ASSERT_EQ(found.repairs.rows.size(), 2u);
    const double before = friction(30, 0.020, q);
    const solver::Repair& nozzle_change = found.repairs.rows[0];
    EXPECT_EQ(nozzle_change.kind, solver::Repair::Kind::nozzle);
    EXPECT_NEAR(nozzle_change.gain, before - friction(30, 0.020, q / 2), 1);
    EXPECT_TRUE(nozzle_change.mends);
    const solver::Repair& pipe = found.repairs.rows[1];
    EXPECT_EQ(pipe.kind, solver::Repair::Kind::pipe);
    EXPECT_EQ(pipe.to, "own b") << "one size, not two";
    EXPECT_NEAR(pipe.gain, before - friction(30, 0.026, q), 1);
    EXPECT_EQ(pipe.mends, 60 * psi - friction(30, 0.026, q) >= 59 * psi);
}

// A pipe of 1979 is rough, and so is the larger one that takes its place: C 100 by its row, not 150 by its
// kind.
TEST_F(ReviewTest, RepairsKeepWhatThePipeSaysOfItself) {
    plain();
    model::CustomSize small, large;
    for (auto* size : {&small, &large}) {
        size->size.kind = "own";
        size->size.c = {150, 0};
    }
    small.size.nominal = "a";
    small.size.bore = {0.020, 0};
    large.size.nominal = "b";
    large.size.bore = {0.026, 0};
    b.system.kinds = {small, large};
    b.system.pipes[0].size = small.size;
    b.system.pipes[0].size.edit().c = {100, 0};
    b.system.nozzles[0].min = Quantity{59 * psi, 0};
    const solver::Review found = review();
    ASSERT_EQ(found.repairs.rows.size(), 1u);
    EXPECT_EQ(found.repairs.rows[0].to, "own b");
    const double rougher = std::pow(1.5, 1.852);
    EXPECT_NEAR(found.repairs.rows[0].gain, rougher * (friction(30, 0.020, q) - friction(30, 0.026, q)), 1);
}

TEST_F(ReviewTest, OutageOfARing) {
    // Two ways of the same bore from the street to T, each half of the flow; behind a gate in one of them.
    // With one way shut the other carries all.
    b.supply("street", 60 * psi);
    b.device("G", model::DeviceType::gate);
    b.valve("V").loss = {};
    const double lost_by_half = friction(60, 0.02, q / 2), lost_by_all = friction(60, 0.02, q);
    nozzle(60 - (lost_by_half + lost_by_all) / 2 / psi);
    b.head("H");
    b.pipe("street", "T", 60, 0.02);
    b.pipe("street", "G", 30, 0.02);
    b.pipe("G", "T", 30, 0.02);
    b.pipe("T", "V", 0, 0.02);
    b.pipe("V", "H", 0, 0.02);
    b.default_runs();
    const solver::Review found = review();
    EXPECT_EQ(found.outage.gates, 1u);
    EXPECT_EQ(found.outage.pipes, 4u);
    ASSERT_EQ(found.outage.rows.size(), 5u);
    for (const solver::Outage& outage : found.outage.rows) {
        EXPECT_EQ(outage.heads, std::vector<Index>{0});
        const bool after_the_ring = outage.closed.kind == ElementKind::pipe && outage.closed.index == 3;
        EXPECT_EQ(!outage.dry.empty(), after_the_ring);
    }
    EXPECT_EQ(found.outage.rows[0].closed.kind, ElementKind::device) << "gates first";

    // A head that wants no more than one way gives misses neither way, only the stretch behind the ring.
    b.system.nozzles[0].min = Quantity{60 * psi - lost_by_all - psi, 0};
    EXPECT_EQ(review().outage.rows.size(), 1u);
}

TEST_F(ReviewTest, TheSameOnAnyNumberOfThreads) {
    plain();
    b.system.nozzles[0].min = Quantity{59 * psi, 0};
    layout = find_layout(b.system);
    solver::ReviewOptions one, four;
    one.threads = 1;
    four.threads = 4;
    const solver::Review first = solver::review(b.system, layout, one);
    const solver::Review second = solver::review(b.system, layout, four);
    ASSERT_EQ(first.margins.size(), second.margins.size());
    EXPECT_EQ(first.margins[0].drop, second.margins[0].drop);
    ASSERT_EQ(first.rules.rows.size(), second.rules.rows.size());
    for (std::size_t i = 0; i < first.rules.rows.size(); ++i)
        EXPECT_EQ(first.rules.rows[i].worst.value, second.rules.rows[i].worst.value);
}

}  // namespace
}  // namespace evenhead::test
