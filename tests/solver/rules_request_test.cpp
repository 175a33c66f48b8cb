// The rules that a case or its rule set asks for, and what a drawing states: each just inside and just
// outside its limit.
#include <algorithm>
#include <cmath>

#include "tests/solver/rules_fixture.hpp"

namespace evenhead::test {
namespace {

using model::Quantity;
using solver::Finding;
using solver::RuleId;

class RequestedRules : public RulesTest {
  protected:
    std::size_t count(RuleId rule) {
        std::size_t number = 0;
        for (const Finding& finding : judge().findings) number += finding.rule == rule ? 1 : 0;
        for (const Finding& finding : judge_whole().findings) number += finding.rule == rule ? 1 : 0;
        return number;
    }
};

TEST_F(RequestedRules, NobodyAsksForThem) {
    shut.valve_inlet = {500 * psi};
    b.system.heads[0].set = Quantity{60 * psi, 0};
    for (const RuleId rule :
         {RuleId::regulator, RuleId::regulated_inlet, RuleId::spacing, RuleId::working_pressure}) {
        EXPECT_EQ(count(rule), 0u);
        for (const RuleId off : judge_whole().rules_off) EXPECT_NE(off, rule) << "not off by the case";
    }
}

TEST_F(RequestedRules, StatedFlowAndPressureWithinFivePercent) {
    b.system.heads[0].stated_flow = Quantity{2 * gpm / 1.049, 0};
    b.system.heads[1].stated_pressure = Quantity{30 * psi / 0.951, 0};
    b.system.valves[0].stated_flow = Quantity{4 * gpm, 0};
    b.system.valves[0].stated_pressure = Quantity{45 * psi, 0};
    EXPECT_EQ(count(RuleId::stated), 0u);
    b.system.heads[0].stated_flow = Quantity{2 * gpm / 1.051, 0};
    b.system.heads[1].stated_pressure = Quantity{30 * psi / 0.949, 0};
    EXPECT_EQ(count(RuleId::stated), 2u);
    limit("stated").value = Quantity{0.06, 0};
    EXPECT_EQ(count(RuleId::stated), 0u);
    b.system.valves[0].stated_pressure = Quantity{60 * psi, 0};  // 45 psi at its outlet
    const Finding finding = only(judge().findings, RuleId::stated);
    EXPECT_NEAR(finding.limit, 0.94 * 60 * psi, 1);
    EXPECT_FALSE(finding.upper);
}

TEST_F(RequestedRules, ARegulatorIsNeededAboveAStatic) {
    limit("regulator").value = Quantity{80 * psi, 0};
    shut.valve_inlet = {79.9 * psi};
    EXPECT_EQ(count(RuleId::regulator), 0u);
    shut.valve_inlet = {80.1 * psi};
    EXPECT_EQ(count(RuleId::regulator), 1u);
    b.system.valves[0].set = Quantity{40 * psi, 0};
    EXPECT_EQ(count(RuleId::regulator), 0u) << "the valve holds it";
    b.system.valves[0].set.reset();
    b.system.heads[0].set = Quantity{40 * psi, 0};
    EXPECT_EQ(count(RuleId::regulator), 1u) << "one head of two does not";
    b.system.heads[1].set = Quantity{40 * psi, 0};
    EXPECT_EQ(count(RuleId::regulator), 0u);
    b.system.heads[1].set.reset();
    shut.valve_inlet = {std::nan("")};
    EXPECT_EQ(count(RuleId::regulator), 0u);
    const auto open = judge_whole().not_checked;
    EXPECT_TRUE(std::any_of(open.begin(), open.end(), [](const solver::NotChecked& row) {
        return row.rule == RuleId::regulator;
    })) << "what nobody knows is no pass";
}

TEST_F(RequestedRules, SoMuchAboveTheLowestDesign) {
    // Design 30 psi and 15 psi above it: 45 psi.
    limit("regulator").value = Quantity{15 * psi, 0};
    limit("regulator").base = model::Limit::Base::design;
    nozzle().design = Quantity{30 * psi, 0};
    shut.valve_inlet = {44.9 * psi};
    EXPECT_EQ(count(RuleId::regulator), 0u);
    shut.valve_inlet = {45.1 * psi};
    EXPECT_NEAR(only(judge_whole().findings, RuleId::regulator).limit, 45 * psi, 1);
}

TEST_F(RequestedRules, ARegulatedBodyNeedsPressureBeforeIt) {
    limit("regulated-inlet").value = Quantity{10 * psi, 0};
    b.system.heads[1].set = Quantity{30 * psi, 0};
    result.point_pressure.assign(b.system.points.size(), 40.1 * psi);
    EXPECT_EQ(count(RuleId::regulated_inlet), 0u);
    result.point_pressure.assign(b.system.points.size(), 39.9 * psi);
    EXPECT_EQ(count(RuleId::regulated_inlet), 1u);
}

TEST_F(RequestedRules, SpacingAgainstThrow) {
    limit("spacing").value = Quantity{1.1, 0};
    nozzle().radius = {{10, 0}};
    result.head_radius = {10, 10};
    b.at("H1").x = b.at("H1").y = b.at("H2").y = Quantity{0, 0};
    b.at("H2").x = Quantity{10.9, 0};
    EXPECT_EQ(count(RuleId::spacing), 0u);
    b.at("H2").x = Quantity{11.1, 0};
    EXPECT_EQ(count(RuleId::spacing), 2u);
    result.head_radius = {12, 10};  // only the second throws too short
    EXPECT_EQ(count(RuleId::spacing), 1u);
}

TEST_F(RequestedRules, SpacingWithoutCoordinatesIsNotJudged) {
    limit("spacing").value = Quantity{1, 0};
    std::size_t not_checked = 0;
    for (const auto& row : judge_whole().not_checked) not_checked += row.rule == RuleId::spacing ? 1 : 0;
    EXPECT_EQ(not_checked, 2u);
}

TEST_F(RequestedRules, WorkingPressureIsAShareOfTheRating) {
    // 78 % of 100 psi; the pipe stands under 50 psi in the run and 60 psi with every valve shut.
    limit("working-pressure").value = Quantity{0.78, 0};
    b.system.pipes[0].size.edit().rating = Quantity{100 * psi, 0};
    EXPECT_EQ(count(RuleId::working_pressure), 0u);
    shut.point_pressure.assign(b.system.points.size(), 78.1 * psi);
    EXPECT_EQ(count(RuleId::working_pressure), 1u);
    EXPECT_EQ(count(RuleId::pipe_rating), 0u);
    limit("pipe-rating").value = Quantity{0.5, 0};  // a share of its own: the two do not multiply
    EXPECT_NEAR(only(judge_whole().findings, RuleId::working_pressure).limit, 78 * psi, 1);
}

TEST_F(RequestedRules, VelocityByMaterial) {
    model::Limit& velocity = limit("velocity");
    velocity.value = Quantity{5 * foot, 0};
    velocity.by_material[static_cast<std::size_t>(model::Material::copper)] = Quantity{7 * foot, 0};
    result.pipe_velocity.assign(b.system.pipes.size(), 6 * foot);
    b.system.pipes[0].size.edit().material = model::Material::copper;
    EXPECT_EQ(count(RuleId::velocity), b.system.pipes.size() - 1);
    result.pipe_velocity.assign(b.system.pipes.size(), 4.9 * foot);
    result.pipe_velocity[0] = 7.1 * foot;
    EXPECT_NEAR(only(judge().findings, RuleId::velocity).limit, 7 * foot, 1e-9);
}

TEST_F(RequestedRules, SpreadOfTheMean) {
    // 31 and 30 psi: 1 psi is 3.28 % of their mean and 5 % of a design of 20 psi.
    nozzle().design = Quantity{20 * psi, 0};
    limit("zone-spread").value = Quantity{0.04, 0};
    EXPECT_EQ(count(RuleId::zone_spread), 1u);
    limit("zone-spread").base = model::Limit::Base::mean;
    EXPECT_EQ(count(RuleId::zone_spread), 0u);
}

TEST_F(RequestedRules, ALimitOfASetNamesItsSource) {
    limit("velocity").value = Quantity{3 * foot, 0};
    limit("velocity").source = "a code of some town";
    result.pipe_velocity[0] = 4 * foot;
    EXPECT_EQ(only(judge().findings, RuleId::velocity).source, "a code of some town");
}

TEST_F(RequestedRules, TheWorstIsKeptAlsoWhereItHolds) {
    layout = find_layout(b.system);
    basis = solver::prepare_rules(b.system, layout);
    nozzle().min = Quantity{25 * psi, 0};
    result.pipe_velocity[1] = 3 * foot;
    solver::RuleContext context{&basis, &shut, [this](Index) -> const solver::RunResult& { return without; }};
    EXPECT_TRUE(solver::judge_run(b.system, layout, result, context).worst.empty());
    context.keep_worst = true;
    const auto worst = solver::judge_run(b.system, layout, result, context).worst;
    const solver::Worst& head = worst[static_cast<std::size_t>(RuleId::head_pressure)];
    EXPECT_TRUE(head.judged);
    EXPECT_EQ(head.subject.index, 1);
    EXPECT_NEAR(head.margin, 5 * psi, 1);
    EXPECT_FALSE(head.fails);
    const solver::Worst& velocity = worst[static_cast<std::size_t>(RuleId::velocity)];
    EXPECT_EQ(velocity.subject.index, 1);
    EXPECT_NEAR(velocity.margin, 2 * foot, 1e-9);
}

}  // namespace
}  // namespace evenhead::test
