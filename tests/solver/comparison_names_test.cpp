// Drawn against built where rows bear other names, lengths come from coordinates, and sizes bring things
// along.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "solver/comparison/comparison.hpp"
#include "solver/runs/runs.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

using model::Quantity;
using solver::Change;
using solver::ChangeKind;
using solver::Comparison;
using Table = solver::ChangeSubject::Table;

/// street - T - V1 - A1 - A2 - A3 with other names where the test wants them, and T - V2 - B1.
SystemBuilder layout(const std::string& valve = "V1", const std::string& middle = "A2",
                     const std::string& tee = "T") {
    SystemBuilder b;
    b.system.ground = Quantity{10, 0};
    b.supply("street", 400e3).tests = {{{1e-3, 0}, {330e3, 0}}};
    b.valve(valve, 9);
    b.valve("V2", 8);
    b.nozzle(200e3, 1.2e-4);
    b.system.nozzles[0].min = Quantity{150e3, 0};
    for (const std::string& id : {std::string("A1"), middle, std::string("A3"), std::string("B1")})
        b.head(id);
    b.line({"street", tee, valve, "A1", middle, "A3"}, 12, 0.025);
    b.line({tee, "V2", "B1"}, 9, 0.025);
    b.default_runs();
    return b;
}

Comparison compare(const SystemBuilder& one, const SystemBuilder& other) {
    return solver::compare(one.system, find_layout(one.system), other.system, find_layout(other.system), 1);
}

double pressure(const SystemBuilder& b, Index run, Index head) {
    return solver::solve_run(b.system, find_layout(b.system), run)
        .head_pressure[static_cast<std::size_t>(head)];
}

void expect_renamed(const Comparison& found, Table table, const char* from, const char* to) {
    ASSERT_EQ(found.changes.size(), 1U) << from;
    EXPECT_EQ(found.changes[0].kind, ChangeKind::changed);
    EXPECT_EQ(found.changes[0].subject.table, table);
    EXPECT_EQ(found.changes[0].key, "id");
    EXPECT_EQ(found.changes[0].from.words, from);
    EXPECT_EQ(found.changes[0].to.words, to);
    for (const solver::ChangeEffect& effect : found.changes[0].effects) {
        EXPECT_EQ(effect.alone, 0);
        EXPECT_EQ(effect.together, 0);
    }
}

TEST(ComparisonNames, AnotherNameIsNoOtherThing) {
    expect_renamed(compare(layout(), layout("V1", "second")), Table::head, "A2", "second");
    expect_renamed(compare(layout(), layout("lawn")), Table::valve, "V1", "lawn");
    EXPECT_TRUE(compare(layout(), layout("V1", "A2", "tee")).changes.empty()) << "a tee is no row";
    SystemBuilder nozzle = layout();
    nozzle.system.nozzles[0].id = "half";
    expect_renamed(compare(layout(), nozzle), Table::nozzle, "nozzle1", "half");
}

// Names that follow one another along a lateral are found one from the other.
TEST(ComparisonNames, AWholeLateralMayBeCalledOtherwise) {
    SystemBuilder built = layout("lawn", "L2");
    built.at("A1").id = "L1";
    built.at("A3").id = "L3";
    const Comparison found = compare(layout(), built);
    EXPECT_EQ(found.changes.size(), 4U);
    for (const Change& change : found.changes) EXPECT_EQ(change.key, "id");
}

// With another nozzle, or in another place, it is another head.
TEST(ComparisonNames, WhatSaysSomethingElseIsAnotherRow) {
    SystemBuilder built = layout("V1", "second");
    built.nozzle(200e3, 1.8e-4);
    built.system.heads[1].nozzle = 1;
    const Comparison found = compare(layout(), built);
    const auto dropped = std::count_if(found.changes.begin(), found.changes.end(), [](const Change& change) {
        return change.kind == ChangeKind::dropped && change.subject.table == Table::head;
    });
    EXPECT_EQ(dropped, 1);
}

/// A2 stands where the test says, 12 m behind A1 as drawn; both pipes beside it are as long as the way is.
SystemBuilder in_plan(double x, double y) {
    SystemBuilder b = layout();
    const std::pair<const char*, double> heads[] = {{"A1", 0}, {"A2", x}, {"A3", 24}};
    for (const auto& [id, at_x] : heads) {
        b.at(id).x = Quantity{at_x, 0};
        b.at(id).y = Quantity{0, 0};
    }
    b.at("A2").y = Quantity{y, 0};
    for (model::Pipe& pipe : b.system.pipes) {
        if (b.system.pipe_id(pipe) == "A1-A2") pipe.length = {std::hypot(x, y), 0};
        if (b.system.pipe_id(pipe) == "A2-A3") pipe.length = {std::hypot(24 - x, y), 0};
    }
    return b;
}

TEST(ComparisonNames, LengthsFromCoordinatesGoWithTheHeadThatMoved) {
    const SystemBuilder drawn = in_plan(12, 0), built = in_plan(12, 30);
    const Comparison found = compare(drawn, built);
    ASSERT_EQ(found.changes.size(), 1U);
    EXPECT_EQ(found.changes[0].kind, ChangeKind::moved);
    EXPECT_EQ(found.changes[0].key, "y");
    const double effect = pressure(built, 0, 2) - pressure(drawn, 0, 2);
    EXPECT_LT(effect, -500);
    EXPECT_NEAR(found.changes[0].effects[0].alone, effect, 1);
    EXPECT_EQ(compare(drawn, in_plan(14, 3)).changes.size(), 1U) << "one move, whichever way";
    SystemBuilder longer = in_plan(12, 30);
    longer.system.pipes[3].length = {60, 0};
    EXPECT_EQ(compare(drawn, longer).changes.size(), 2U) << "more pipe than the way is a change";
}

SystemBuilder of_kinds(const char* nominal, double c) {
    SystemBuilder b = layout();
    for (const auto& [size, bore, its_c] : {std::tuple{"a", 0.025, 150.0}, {"b", 0.02, 140.0}}) {
        model::CustomSize own;
        own.size.kind = "own";
        own.size.nominal = size;
        own.size.bore = {bore, 0};
        own.size.c = {its_c, 0};
        b.system.kinds.push_back(own);
    }
    const std::size_t row = nominal[0] == 'a' ? 0 : 1;
    b.system.pipes[3].size = b.system.kinds[row].size;
    if (c > 0) b.system.pipes[3].size.edit().c = {c, 0};
    return b;
}

// A size brings the C of its kind along; a C that the pipe's row gives is a change of its own.
TEST(ComparisonNames, ASizeBringsItsCAndARowItsOwn) {
    const SystemBuilder drawn = of_kinds("a", 0), built = of_kinds("b", 90);
    EXPECT_EQ(compare(drawn, of_kinds("b", 0)).changes.size(), 1U);
    const Comparison found = compare(drawn, built);
    ASSERT_EQ(found.changes.size(), 2U);
    const double before = pressure(drawn, 0, 2);
    for (const Change& change : found.changes) {
        const bool size = change.key == "size";
        EXPECT_TRUE(size || change.key == "c");
        const SystemBuilder alone = size ? of_kinds("b", 0) : of_kinds("a", 90);
        EXPECT_NEAR(change.effects[0].alone, pressure(alone, 0, 2) - before, 1) << change.key;
    }
}

// A larger valve by its size alone, and a gate that became a check: what is usual comes along unsaid.
TEST(ComparisonNames, WhatIsUsualForASizeOrATypeComesAlong) {
    SystemBuilder drawn = layout(), built = layout();
    for (SystemBuilder* of : {&drawn, &built}) {
        model::Valve& valve = of->system.valves[0];
        valve.size = of == &drawn ? "1" : "1-1/2";
        const double loss = of == &drawn ? 30e3 : 12e3;
        valve.loss = {model::LossKind::chart, {}, {}, {{{0, 0}, {0, 0}}, {{1e-3, 0}, {loss, 0}}}, true};
    }
    const Comparison found = compare(drawn, built);
    ASSERT_EQ(found.changes.size(), 1U);
    EXPECT_EQ(found.changes[0].kind, ChangeKind::resized);
    EXPECT_EQ(found.changes[0].to.words, "1-1/2");
    EXPECT_NEAR(found.changes[0].effects[0].alone, pressure(built, 0, 2) - pressure(drawn, 0, 2), 1);
}

}  // namespace
}  // namespace evenhead::test
