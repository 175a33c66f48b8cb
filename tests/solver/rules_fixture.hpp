// A system whose numbers a rule test can follow with a pencil: street - meter - V1 - H1 - H2.
#pragma once

#include <gtest/gtest.h>

#include "solver/rules/rules.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {

class RulesTest : public ::testing::Test {
  protected:
    RulesTest() {
        b.supply("street", 60 * psi);
        b.device("meter", model::DeviceType::meter);
        b.valve("V1");
        b.nozzle(30 * psi, 2 * gpm);
        b.head("H1");
        b.head("H2");
        b.line({"street", "meter", "V1", "H1", "H2"});
        b.default_runs();
        reset();
    }

    /// A run as it should be: nothing is outside.
    void reset() {
        result = blank_result(b.system, {0});
        shut = blank_result(b.system, {});
        result.head_flow = {2 * gpm, 2 * gpm};
        result.head_pressure = {31 * psi, 30 * psi};
        result.flow = 4 * gpm;
        result.supply_flow = {4 * gpm};
        result.point_pressure.assign(b.system.points.size(), 50 * psi);
        result.device_flow = {4 * gpm};
        result.device_inlet = {50 * psi};
        result.device_outlet = {48 * psi};
        result.valve_flow = {4 * gpm};
        result.valve_inlet = {47 * psi};
        result.valve_outlet = {45 * psi};
        shut.point_pressure.assign(b.system.points.size(), 60 * psi);
        shut.device_inlet = shut.device_outlet = {60 * psi};
        shut.valve_inlet = {60 * psi};
        without = shut;
    }

    model::Nozzle& nozzle() { return b.system.nozzles[0]; }
    model::Limit& limit(const char* rule) { return b.system.limits[rule]; }

    solver::RunFindings judge() {
        layout = find_layout(b.system);
        basis = solver::prepare_rules(b.system, layout);
        solver::RuleContext context{&basis, &shut,
                                    [this](Index) -> const solver::RunResult& { return without; }};
        return solver::judge_run(b.system, layout, result, context);
    }
    solver::SystemFindings judge_whole(std::vector<char> watered = {1, 1},
                                       std::vector<solver::RunState> states = {solver::RunState::solved}) {
        layout = find_layout(b.system);
        basis = solver::prepare_rules(b.system, layout);
        return solver::judge_system(b.system, layout, {&basis, &shut, std::move(watered), std::move(states)});
    }
    /// The only finding of a rule; fails the test where there is another number of them.
    static solver::Finding only(const std::vector<solver::Finding>& findings, solver::RuleId rule) {
        std::vector<solver::Finding> of_rule;
        for (const solver::Finding& finding : findings)
            if (finding.rule == rule) of_rule.push_back(finding);
        EXPECT_EQ(of_rule.size(), 1u);
        return of_rule.empty() ? solver::Finding{} : of_rule.front();
    }

    SystemBuilder b;
    model::Layout layout;
    solver::RuleBasis basis;
    solver::RunResult result, shut, without;
};

}  // namespace evenhead::test
