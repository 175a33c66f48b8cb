// head-pressure, zone-spread and below-atmosphere. Expected values follow from the rule's words with a
// pencil; 20 % of pressure against 10 % of flow is Jarrett, Water Management (2000), pp. 336-337.
#include <cmath>

#include "tests/solver/rules_fixture.hpp"

namespace evenhead::test {
namespace {

using model::Quantity;
using solver::ElementKind;
using solver::Finding;
using solver::RuleId;

TEST_F(RulesTest, NothingIsSaidOfARunAsItShouldBe) {
    nozzle().design = Quantity{30 * psi, 0};
    const auto found = judge();
    EXPECT_TRUE(found.findings.empty());
    EXPECT_TRUE(found.warnings.empty());
    EXPECT_EQ(found.lowest_head, 1);
    EXPECT_EQ(found.highest_head, 0);
}

TEST_F(RulesTest, TheLowerLimitIsAtLeastElseMinElseFourFifthsOfDesign) {
    EXPECT_FALSE(solver::wanted_pressure(b.system, 1).has_value());
    nozzle().design = Quantity{38 * psi, 0};  // 0.8 x 38 = 30.4 psi: H2 at 30 psi is 0.4 psi short
    Finding finding = only(judge().findings, RuleId::head_pressure);
    EXPECT_EQ(finding.subject.kind, ElementKind::head);
    EXPECT_EQ(finding.subject.index, 1);
    EXPECT_NEAR(finding.margin / psi, -0.4, 1e-9);
    EXPECT_FALSE(finding.upper);
    EXPECT_EQ(finding.source, "0.8 x nozzle's design");
    nozzle().min = Quantity{30.5 * psi, 0};
    finding = only(judge().findings, RuleId::head_pressure);
    EXPECT_NEAR(finding.limit / psi, 30.5, 1e-9);
    EXPECT_EQ(finding.source, "nozzle's min");
    b.system.heads[1].at_least = Quantity{30 * psi, 0};  // exactly what it gets
    EXPECT_TRUE(judge().findings.empty());
    EXPECT_NEAR(*solver::wanted_pressure(b.system, 1) / psi, 30, 1e-9);
    b.system.heads[1].at_least = Quantity{33 * psi, 0};
    EXPECT_EQ(only(judge().findings, RuleId::head_pressure).source, "head's at_least");
}

TEST_F(RulesTest, TheUpperLimitIsMaxElseSixFifthsOfDesign) {
    result.head_pressure = {37 * psi, 36 * psi};
    nozzle().design = Quantity{30 * psi, 0};  // 1.2 x 30 = 36 psi
    Finding finding = only(judge().findings, RuleId::head_pressure);
    EXPECT_EQ(finding.subject.index, 0);
    EXPECT_NEAR(finding.margin / psi, -1, 1e-9);
    EXPECT_EQ(finding.source, "1.2 x nozzle's design");
    nozzle().max = Quantity{36.5 * psi, 0};
    EXPECT_NEAR(only(judge().findings, RuleId::head_pressure).margin / psi, -0.5, 1e-9);
}

TEST_F(RulesTest, ALimitOfTheCaseReplacesMinAndMaxByAShareOfDesign) {
    nozzle().min = Quantity{10 * psi, 0};
    nozzle().max = Quantity{90 * psi, 0};
    nozzle().design = Quantity{35 * psi, 0};
    limit("head-pressure").value = Quantity{0.12, 0};  // 30.8 to 39.2 psi
    const Finding finding = only(judge().findings, RuleId::head_pressure);
    EXPECT_NEAR(finding.limit / psi, 30.8, 1e-9);
    EXPECT_EQ(finding.source, "limits.head-pressure");
    EXPECT_NEAR(*solver::wanted_pressure(b.system, 0) / psi, 30.8, 1e-9);
    limit("head-pressure").off = true;
    EXPECT_TRUE(judge().findings.empty());
    EXPECT_EQ(judge_whole().rules_off, std::vector<RuleId>{RuleId::head_pressure});
}

TEST_F(RulesTest, TheCriticalHeadIsNextToItsWantedPressure) {
    b.system.heads[0].at_least = Quantity{29 * psi, 0};  // 2 psi to spare
    auto found = judge();
    EXPECT_EQ(found.critical_head, 0);  // H2 is lower but wants nothing
    EXPECT_NEAR(found.critical_margin / psi, 2, 1e-9);
    b.system.heads[1].at_least = Quantity{30 * psi, 0};
    EXPECT_EQ(judge().critical_head, 1);
    b.system.heads[0].at_least = b.system.heads[1].at_least = {};
    found = judge();
    EXPECT_EQ(found.critical_head, 1);
    EXPECT_TRUE(std::isnan(found.critical_margin));
    EXPECT_EQ(judge_whole().not_checked.size(),
              2u + 2u);  // heads without limits; mainline pipes without wall
}

TEST_F(RulesTest, WorstFirstByMarginOverLimitThenAsInTheFile) {
    nozzle().min = Quantity{40 * psi, 0};  // -9/40 and -10/40
    limit("velocity").value = Quantity{1, 0};
    result.pipe_velocity = {1.1, 1.9, 1.1, 0};  // -0.1, -0.9, -0.1
    const auto findings = judge().findings;
    ASSERT_EQ(findings.size(), 5u);
    EXPECT_EQ(findings[0].subject.index, 1);
    EXPECT_EQ(findings[0].rule, RuleId::velocity);
    EXPECT_EQ(findings[1].rule, RuleId::head_pressure);
    EXPECT_EQ(findings[1].subject.index, 1);
    EXPECT_EQ(findings[2].subject.index, 0);
    EXPECT_EQ(findings[3].rule, RuleId::velocity);
    EXPECT_EQ(findings[3].subject.index, 0);
    EXPECT_EQ(findings[4].subject.index, 2);
}

TEST_F(RulesTest, SpreadIsOverTheLowestDesignElseTheMean) {
    result.head_pressure = {36 * psi, 29 * psi};
    auto found = judge();  // mean 32.5: 7 / 32.5 = 21.54 %
    Finding finding = only(found.findings, RuleId::zone_spread);
    EXPECT_NEAR(finding.value, 7 / 32.5, 1e-12);
    EXPECT_NEAR(finding.margin, 0.2 - 7 / 32.5, 1e-12);
    EXPECT_EQ(finding.subject.kind, ElementKind::valve);
    EXPECT_EQ(finding.also[0].index, 0);
    EXPECT_EQ(finding.also[1].index, 1);
    EXPECT_NE(finding.detail.find("mean"), std::string::npos);
    nozzle().design = Quantity{34 * psi, 0};
    b.nozzle(30 * psi, 1 * gpm);
    b.system.nozzles[1].design = Quantity{32 * psi, 0};
    b.system.heads[1].nozzle = 1;  // 7 / 32 = 21.9 %
    finding = only(judge().findings, RuleId::zone_spread);
    EXPECT_NEAR(finding.value, 7.0 / 32, 1e-12);
    EXPECT_NE(finding.detail.find("design"), std::string::npos);
    EXPECT_NEAR(judge().spread, 7.0 / 32, 1e-12);
}

TEST_F(RulesTest, TwentyPercentOfPressureIsTenPercentOfFlow) {
    // Jarrett's rule of thumb: at the limit, flows by the square root of pressure differ by about 10 %.
    const double ratio = std::sqrt((1 + 0.1) / (1 - 0.1));
    EXPECT_NEAR(ratio, 1.10, 0.01);
    result.head_pressure = {33 * psi, 27 * psi};  // exactly 20 % of the mean: passes
    EXPECT_TRUE(judge().findings.empty());
}

TEST_F(RulesTest, ConstantDrawsAreLeftOutOfTheSpread) {
    result.head_pressure = {36 * psi, 20 * psi};
    b.nozzle(30 * psi, 1 * gpm);
    b.system.nozzles[1].exponent = 0;
    b.system.heads[1].nozzle = 1;
    result.head_flow[1] = 1 * gpm;
    const auto found = judge();
    EXPECT_TRUE(found.findings.empty());
    EXPECT_TRUE(std::isnan(found.spread));
}

TEST_F(RulesTest, NoPointSucks) {
    result.point_pressure[static_cast<std::size_t>(b.point("H2"))] = -2 * psi;
    result.device_outlet[0] = -1 * psi;
    limit("meter-loss").off = true;
    const auto findings = judge().findings;
    ASSERT_EQ(findings.size(), 2u);
    for (const Finding& finding : findings) EXPECT_EQ(finding.rule, RuleId::below_atmosphere);
    limit("below-atmosphere").value = Quantity{-3 * psi, 0};
    EXPECT_TRUE(judge().findings.empty());
}

TEST_F(RulesTest, AHeadOutOfReachIsNotJudged) {
    result.head_pressure[1] = std::nan("");
    nozzle().min = Quantity{20 * psi, 0};
    const auto found = judge();
    EXPECT_TRUE(found.findings.empty());
    ASSERT_EQ(found.not_checked.size(), 1u);
    EXPECT_EQ(found.not_checked[0].subject.index, 1);
    EXPECT_EQ(found.critical_head, 0);
}

}  // namespace
}  // namespace evenhead::test
