// velocity, meter-flow, meter-loss, data-range, short-flow, unfed, two-valves. 5 ft/s: Florida Building Code,
// Plumbing, Appendix F as amended by Broward County ("shall not exceed 5 ft (1524 mm)/s"); the rest is common
// practice.
#include <algorithm>
#include <cmath>

#include "tests/solver/rules_fixture.hpp"

namespace evenhead::test {
namespace {

using model::Quantity;
using solver::ElementKind;
using solver::Finding;
using solver::RuleId;
using solver::RunState;

TEST_F(RulesTest, FiveFeetASecond) {
    result.pipe_velocity = {5 * foot, 5.01 * foot, 0, 0};
    const auto found = judge();
    const Finding finding = only(found.findings, RuleId::velocity);
    EXPECT_EQ(finding.subject.index, 1);
    EXPECT_NEAR(finding.limit, 1.524, 1e-12);
    EXPECT_NEAR(finding.margin / foot, -0.01, 1e-9);
    EXPECT_EQ(found.top_velocity_pipe, 1);
    limit("velocity").value = Quantity{6 * foot, 0};
    EXPECT_TRUE(judge().findings.empty());
}

TEST_F(RulesTest, ThreeQuartersOfTheSafeFlow) {
    b.system.devices[0].safe_flow = Quantity{20 * gpm, 0};
    result.device_flow[0] = -15 * gpm;
    EXPECT_TRUE(judge().findings.empty());
    result.device_flow[0] = 16 * gpm;
    const Finding finding = only(judge().findings, RuleId::meter_flow);
    EXPECT_NEAR(finding.value / gpm, 16, 1e-9);
    EXPECT_NEAR(finding.limit / gpm, 15, 1e-9);
    limit("meter-flow").value = Quantity{0.9, 0};
    EXPECT_TRUE(judge().findings.empty());
    b.system.devices[0].safe_flow = Quantity{};
    bool told = false;
    for (const auto& row : judge_whole().not_checked) told |= row.rule == RuleId::meter_flow;
    EXPECT_TRUE(told);
}

TEST_F(RulesTest, ATenthOfTheStaticPressureAtTheMeter) {
    result.device_outlet[0] = 44.1 * psi;  // takes 5.9 of 60 psi
    EXPECT_TRUE(judge().findings.empty());
    result.device_outlet[0] = 43.5 * psi;  // 6.5
    const Finding finding = only(judge().findings, RuleId::meter_loss);
    EXPECT_NEAR(finding.margin / psi, -0.5, 1e-9);
    EXPECT_NEAR(finding.limit / psi, 6, 1e-9);
    b.system.devices[0].type = model::DeviceType::filter;
    EXPECT_TRUE(judge().findings.empty());
}

TEST_F(RulesTest, WithoutTheStaticBalanceTheMeterLossIsNotChecked) {
    shut.closure.solved = false;
    result.device_outlet[0] = 30 * psi;
    EXPECT_TRUE(judge().findings.empty());
    bool told = false;
    for (const auto& row : judge_whole().not_checked) told |= row.rule == RuleId::meter_loss;
    EXPECT_TRUE(told);
}

TEST_F(RulesTest, ChartsAreUsedInsideTheirRows) {
    model::Loss& loss = b.system.devices[0].loss;
    loss.kind = model::LossKind::chart;
    loss.chart = {{{5 * gpm, 0}, {1 * psi, 0}}, {{10 * gpm, 0}, {3 * psi, 0}}};
    result.device_flow[0] = 4 * gpm;
    auto found = judge();
    EXPECT_TRUE(found.findings.empty());
    Finding warning = only(found.warnings, RuleId::data_range);
    EXPECT_FALSE(warning.upper);
    EXPECT_FALSE(warning.fails);
    EXPECT_NEAR(warning.limit / gpm, 5, 1e-9);
    result.device_flow[0] = 12 * gpm;
    limit("data-range").fail = true;
    found = judge();
    EXPECT_TRUE(found.warnings.empty());
    EXPECT_TRUE(only(found.findings, RuleId::data_range).fails);
    EXPECT_NEAR(found.findings[0].margin / gpm, -2, 1e-9);
    loss.chart.erase(loss.chart.begin());  // one row is a law, not a range
    EXPECT_TRUE(judge().findings.empty());
    limit("data-range").off = true;
    EXPECT_TRUE(judge().findings.empty());
}

TEST_F(RulesTest, NozzlesSuppliesAndTemperatureHaveTheirRanges) {
    nozzle().rows = {{{20 * psi, 0}, {1.6 * gpm, 0}}, {{30.5 * psi, 0}, {2 * gpm, 0}}};
    b.system.supplies[0].tests = {{{3 * gpm, 0}, {55 * psi, 0}}};
    const auto found = judge();
    ASSERT_EQ(found.warnings.size(), 2u);  // street 4 of 3 gpm (-33 %), H1 31 of 30.5 psi
    EXPECT_EQ(found.warnings[0].subject.kind, ElementKind::supply);
    EXPECT_EQ(found.warnings[1].subject.kind, ElementKind::head);
    EXPECT_EQ(found.warnings[1].subject.index, 0);
    b.system.temperature = 45;  // 113 degF
    const auto whole = judge_whole();
    ASSERT_EQ(whole.warnings.size(), 1u);
    EXPECT_EQ(whole.warnings[0].limit, 40);  // 104 degF
    EXPECT_EQ(whole.warnings[0].subject.index, model::none);
}

TEST_F(RulesTest, WaterBackIntoASupplyIsAlwaysTold) {
    result.supply_flow[0] = -0.5 * gpm;
    limit("data-range").off = true;
    EXPECT_EQ(only(judge().warnings, RuleId::data_range).subject.kind, ElementKind::supply);
}

TEST_F(RulesTest, AConstantDrawGetsItsFullFlow) {
    nozzle().exponent = 0;
    result.head_flow = {2 * gpm, 1.5 * gpm};
    const Finding finding = only(judge().findings, RuleId::short_flow);
    EXPECT_EQ(finding.subject.index, 1);
    EXPECT_NEAR(finding.margin / gpm, -0.5, 1e-9);
}

TEST_F(RulesTest, EveryHeadGetsWaterInSomeRun) {
    EXPECT_TRUE(judge_whole().findings.empty());
    Finding finding = only(judge_whole({1, 0}).findings, RuleId::unfed);
    EXPECT_EQ(finding.subject.index, 1);
    EXPECT_TRUE(judge_whole({1, 0}, {RunState::not_asked}).findings.empty());
    const auto failed = judge_whole({1, 0}, {RunState::failed});
    EXPECT_TRUE(failed.findings.empty());
    EXPECT_EQ(std::count_if(failed.not_checked.begin(), failed.not_checked.end(),
                            [](const auto& row) { return row.rule == RuleId::unfed; }),
              1);
    b.system.pipes[3].closed = true;  // H1-H2: no water whatever the runs say
    finding = only(judge_whole({1, 0}, {RunState::failed}).findings, RuleId::unfed);
    EXPECT_NE(finding.detail.find("no open way"), std::string::npos);
    ASSERT_EQ(finding.also.size(), 1u);
    EXPECT_EQ(finding.also.front().kind, ElementKind::pipe);
    EXPECT_EQ(finding.also.front().index, 3);
    b.system.pipes[3].closed = false;
    b.system.devices[0].closed = true;  // the meter: neither head has a way
    const auto shut_off = judge_whole({0, 0});
    ASSERT_EQ(shut_off.findings.size(), 2u);
    ASSERT_EQ(shut_off.findings[0].also.size(), 1u);
    EXPECT_EQ(shut_off.findings[0].also.front().kind, ElementKind::device);
    b.head("H3");  // by itself: nothing closed is on its way
    const auto with_island = judge_whole({0, 0, 0});
    ASSERT_EQ(with_island.findings.size(), 3u);
    EXPECT_TRUE(with_island.findings[2].also.empty());
    b.system.heads.pop_back();
    b.system.points.pop_back();
    b.system.devices[0].closed = false;
    limit("unfed").off = true;
    EXPECT_TRUE(judge_whole({1, 0}).findings.empty());
    std::vector<char> watered;
    result.head_flow = {0, 1e-5};
    add_watered(result, watered);
    EXPECT_EQ(watered, (std::vector<char>{0, 1}));
}

TEST_F(RulesTest, NoHeadIsFedThroughTwoValves) {
    b.valve("V2");
    b.line({"meter", "V2", "H2"});
    reset();
    const auto found = judge_whole();
    ASSERT_EQ(found.findings.size(), 2u);
    EXPECT_EQ(found.findings[0].rule, RuleId::two_valves);
    EXPECT_EQ(found.findings[0].also.size(), 2u);
    EXPECT_EQ(found.findings[0].margin, -1);
}

TEST_F(RulesTest, AFailedRunIsNotJudged) {
    result.pipe_velocity = {9, 9, 9, 9};
    result.failure.emplace();
    EXPECT_TRUE(judge().findings.empty());
    result.failure.reset();
    result.closure.solved = false;
    EXPECT_TRUE(judge().findings.empty());
}

TEST(RuleTable, HoldsTheRulesOfTheSpecificationWithTheirDefaults) {
    const std::vector<std::string_view> names{
        "head-pressure", "zone-spread",     "velocity",         "meter-flow", "meter-loss",
        "pipe-rating",   "surge",           "below-atmosphere", "data-range", "short-flow",
        "unfed",         "two-valves",      "stated",           "regulator",  "regulated-inlet",
        "spacing",       "working-pressure"};
    const auto& table = solver::rule_table();
    ASSERT_EQ(table.size(), names.size());
    for (std::size_t i = 0; i < names.size(); ++i) {
        EXPECT_EQ(table[i].name, names[i]);
        EXPECT_EQ(static_cast<std::size_t>(table[i].id), i);
        EXPECT_EQ(solver::find_rule(names[i]), &table[i]);
    }
    EXPECT_EQ(solver::find_rule("speed"), nullptr);
    EXPECT_EQ(solver::find_rule("velocity")->default_limit, 1.524);
}

}  // namespace
}  // namespace evenhead::test
