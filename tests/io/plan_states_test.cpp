// What the runs say of each thing: by hand-made results, and by what `check` finds in the shipped cases.
#include "io/plan/states.hpp"

#include "tests/io/plan_sample.hpp"
#include "tests/io/write_sample.hpp"

namespace evenhead::io {
namespace {

using sample::Sample;
using solver::ElementKind;

TEST(PlanStates, AreThoseOfTheFindingsOfEachRun) {
    Sample sample;
    sample.layout = model::find_layout(sample.system);
    PlanMarks marks(sample.system, sample.layout);
    marks.add(sample.lawn(), sample.lawn_findings());
    marks.add(sample.beds(), {});
    marks.finish(sample.summary());
    ASSERT_EQ(marks.runs().size(), 2U);
    const RunMarks& lawn = *marks.of_run(0);
    EXPECT_EQ(lawn.state(0), HeadState::within);
    EXPECT_EQ(lawn.state(1), HeadState::low);
    EXPECT_DOUBLE_EQ(lawn.mark(1)->pressure, 24 * sample::psi);
    EXPECT_EQ(lawn.over_heads, std::vector<Index>{1});
    EXPECT_EQ(lawn.over_valves, std::vector<Index>{0});  // zone-spread
    EXPECT_TRUE(lawn.outside);
    EXPECT_FALSE(marks.of_run(1)->solved);
    EXPECT_TRUE(marks.of_run(1)->heads.empty());
    EXPECT_EQ(marks.worst().state(1), HeadState::low);
    EXPECT_FALSE(marks.worst().solved);
    EXPECT_EQ(marks.worst().critical_head, 1);
    EXPECT_EQ(marks.of_run(7), nullptr);
}

TEST(PlanStates, AHeadWithoutWaterIsDryAndOneInNoRunIsOff) {
    Sample sample;
    sample.layout = model::find_layout(sample.system);
    auto result = sample.lawn();
    result.head_flow[1] = 0;
    auto findings = sample.lawn_findings();
    findings.findings.clear();
    PlanMarks marks(sample.system, sample.layout);
    marks.add(result, findings);
    solver::CheckSummary summary = sample.summary();
    marks.finish(summary);
    EXPECT_EQ(marks.worst().state(0), HeadState::within);
    EXPECT_EQ(marks.worst().state(1), HeadState::dry);

    PlanMarks none(sample.system, sample.layout);
    none.finish(summary);
    EXPECT_EQ(none.worst().state(0), HeadState::off);
}

TEST(PlanStates, TheContractorsFaultsAreMarkedWhereTheyAre) {
    // The faults as the README of that case lists them.
    const auto solved = plan_sample::shipped("contractor-layout");
    const model::System& system = solved.system();
    const auto head = [&](const std::string& id) {
        for (std::size_t i = 0; i < system.heads.size(); ++i)
            if (system.point_id(system.heads[i].point) == id) return static_cast<Index>(i);
        return model::none;
    };
    const RunMarks& worst = solved.marks.worst();
    for (const char* id : {"N3", "N4", "N5", "N6", "N7", "N8"})
        EXPECT_EQ(worst.state(head(id)), HeadState::low) << id;
    for (const char* id : {"N1", "N2", "S1", "K3"}) EXPECT_EQ(worst.state(head(id)), HeadState::within) << id;
    for (const char* id : {"B1", "B2", "B3", "B4"}) EXPECT_EQ(worst.state(head(id)), HeadState::high) << id;
    EXPECT_EQ(worst.state(head("S5")), HeadState::dry);
    EXPECT_EQ(worst.critical_head, head("N8"));
    std::set<std::string> devices, pipes;
    for (const Index device : worst.over_devices)
        devices.insert(system.point_id(system.devices[at(device)].point));
    EXPECT_EQ(devices, std::set<std::string>{"meter"});
    for (const Index pipe : worst.over_pipes) pipes.insert(system.pipe_id(pipe));
    EXPECT_TRUE(pipes.contains("T0-north") && pipes.contains("T3-bank")) << pipes.size();

    // The way: from the supply to N8, each thing once, and next to the one before.
    std::set<std::pair<ElementKind, Index>> once;
    for (const auto& element : worst.way) EXPECT_TRUE(once.insert({element.kind, element.index}).second);
    ASSERT_FALSE(worst.way.empty());
    EXPECT_EQ(system.pipe_id(worst.way.front().index), "street-meter");
    EXPECT_EQ(system.pipes[at(worst.way.back().index)].to, system.heads[at(head("N8"))].point);
}

}  // namespace
}  // namespace evenhead::io
