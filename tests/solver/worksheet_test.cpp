// The worksheet. With a constant draw every loss follows from its law with a pencil; the sources stand beside
// the lines: flow-test practice (exponent 1/0.54), valve coefficient (1 gpm of water at 1 psi),
// Hazen-Williams in the form of NFPA 13 (4.52, psi per foot), 20 ft of height = 8.66 psi (International
// Plumbing Code, appendix E, E103.2).
#include "solver/worksheet/worksheet.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "solver/balance/balance.hpp"
#include "solver/rules/rules.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

using model::DeviceType;
using model::LossKind;
using model::Quantity;
using solver::Worksheet;
using solver::WorksheetLine;

solver::RunResult solve(const model::System& system, const std::vector<Index>& open) {
    const model::Layout layout = find_layout(system);
    return solver::balance_run(system, solver::build_network(system, layout), 0, open);
}

Worksheet sheet_of(const model::System& system, const std::vector<Index>& open, Index head) {
    return make_worksheet(system, find_layout(system), solve(system, open), head);
}

std::vector<std::string> items_of(const Worksheet& sheet) {
    std::vector<std::string> items;
    for (const WorksheetLine& line : sheet.lines) items.push_back(line.item);
    return items;
}

void expect_adds_up(const Worksheet& sheet) {
    double pressure = 0;
    for (const WorksheetLine& line : sheet.lines) {
        pressure += line.change;
        EXPECT_NEAR(line.pressure, pressure, 1e-6) << line.item;
        EXPECT_NEAR(line.by_law, line.change, 2e-6 * psi) << line.item;
    }
    EXPECT_NEAR(pressure, sheet.pressure, 0.001 * psi);
}

/// street - meter - (60 ft, 20 ft up) - V1 - (100 ft) - H1, a constant draw of 10 gpm.
SystemBuilder drawn(double draw = 10 * gpm) {
    SystemBuilder b;
    b.system.ground = Quantity{0, 0};
    b.nozzle(30 * psi, draw);
    b.system.nozzles[0].exponent = 0;
    b.supply("street", 62 * psi).tests = {{{18 * gpm, 0}, {50 * psi, 0}}};
    model::Device& meter = b.device("meter", DeviceType::meter);
    meter.loss.kind = LossKind::chart;
    meter.loss.chart = {{{20 * gpm, 0}, {4 * psi, 0}}};
    b.valve("V1", 11.5);
    b.head("H1");
    b.pipe("street", "meter", 0);
    b.pipe("meter", "V1", 60 * foot, 1.380 * inch);
    b.pipe("V1", "H1", 100 * foot, 1.049 * inch);
    b.default_runs();
    return b;
}

TEST(WorksheetTest, EveryLineFollowsFromItsLaw) {
    SystemBuilder b = drawn();
    b.system.pipes[1].fittings = 0.1;
    b.system.pipes[1].k = {2, 0};
    for (const char* id : {"V1", "H1"}) b.at(id).elevation = Quantity{20 * foot, 0};
    b.system.heads[0].joint.kind = LossKind::cv;
    b.system.heads[0].joint.coefficient = {8, 0};
    b.system.heads[0].at_least = Quantity{30 * psi, 0};
    const Worksheet sheet = sheet_of(b.system, {0}, 0);
    ASSERT_EQ(items_of(sheet),
              (std::vector<std::string>{"static", "supply", "pipe", "meter", "pipe", "fittings", "elevation",
                                        "valve", "pipe", "swing-joint"}));
    const auto change = [&](std::size_t line) { return sheet.lines[line].change / psi; };
    const auto nfpa = [](double q, double d, double feet) {
        return 4.52 * std::pow(q, 1.85) / (std::pow(150, 1.85) * std::pow(d, 4.87)) * feet;
    };
    EXPECT_NEAR(change(0), 62, 1e-9);
    EXPECT_NEAR(change(1), -12 * std::pow(10.0 / 18, 1.852), 1e-6);
    EXPECT_NEAR(change(2), 0, 1e-9);
    EXPECT_NEAR(change(3), -1.0, 1e-6);  // 4 (10/20)^2
    EXPECT_NEAR(change(4), -nfpa(10, 1.380, 60),
                0.01 * nfpa(10, 1.380, 60));                  // forms differ by 0.93 % at most
    const double velocity = 0.408498 * 10 / (1.380 * 1.380);  // ft/s
    const double minor = 2 * velocity * velocity / (2 * 32.174) * 0.4331;
    EXPECT_NEAR(change(5), 0.1 * change(4) - minor, 1e-4);
    EXPECT_NEAR(change(6), -8.66, 0.005);
    EXPECT_NEAR(change(7), -std::pow(10 / 11.5, 2), 1e-4);
    EXPECT_NEAR(change(8), -nfpa(10, 1.049, 100), 0.01 * nfpa(10, 1.049, 100));
    EXPECT_NEAR(change(9), -std::pow(10.0 / 8, 2), 1e-4);
    EXPECT_NEAR(sheet.lines[4].velocity / foot, velocity, 1e-4);
    EXPECT_NEAR(sheet.lines[4].length / foot, 60, 1e-9);
    EXPECT_NEAR(sheet.lines[4].bore / inch, 1.380, 1e-9);
    EXPECT_NEAR(sheet.lines[4].flow / gpm, 10, 1e-6);
    EXPECT_NEAR(sheet.lines[5].elevation / foot, 0, 1e-12);  // the pipe's own lines stand at its upper end
    EXPECT_NEAR(sheet.lines[6].elevation / foot, 20, 1e-9);
    EXPECT_NEAR(sheet.lines[9].elevation / foot, 20, 1e-9);
    EXPECT_EQ(sheet.wanted, 30 * psi);
    EXPECT_NEAR(sheet.margin, sheet.pressure - 30 * psi, 1e-9);
    expect_adds_up(sheet);
}

TEST(WorksheetTest, WhatHoldsAPressureHasALineForIt) {
    SystemBuilder b = drawn();
    b.system.valves[0].set = Quantity{45 * psi, 0};
    b.system.heads[0].set = Quantity{30 * psi, 0};
    const Worksheet sheet = sheet_of(b.system, {0}, 0);
    ASSERT_EQ(items_of(sheet), (std::vector<std::string>{"static", "supply", "pipe", "meter", "pipe", "valve",
                                                         "regulation", "pipe", "regulation"}));
    EXPECT_NEAR(sheet.lines[5].change / psi, -std::pow(10 / 11.5, 2), 1e-4);
    EXPECT_NEAR(sheet.lines[6].pressure / psi, 45, 1e-6);
    EXPECT_NEAR(sheet.pressure / psi, 30, 1e-6);
    expect_adds_up(sheet);
}

TEST(WorksheetTest, APumpShowsItsRiseAndTheSuctionPressureStandsBeforeIt) {
    SystemBuilder b = drawn();
    model::Device& pump = b.device("booster", DeviceType::pump);
    pump.one_way = true;
    pump.rise = {{{5 * gpm, 0}, {40 * psi, 0}},
                 {{15 * gpm, 0}, {30 * psi, 0}}};  // two rows: straight, 35 at 10 gpm
    b.system.pipes[0].to = pump.point;
    b.pipe("booster", "meter", 0);
    const Worksheet sheet = sheet_of(b.system, {0}, 0);
    ASSERT_EQ(sheet.lines[3].item, "pump");
    EXPECT_NEAR(sheet.lines[3].change / psi, 35, 1e-4);
    EXPECT_NEAR(sheet.lines[3].flow / gpm, 10, 1e-6);
    EXPECT_NEAR(sheet.lines[2].pressure / psi, 62 - 12 * std::pow(10.0 / 18, 1.852), 1e-4);
    expect_adds_up(sheet);
}

TEST(WorksheetTest, InALoopItFollowsTheLargestFlow) {
    SystemBuilder b = drawn();
    // Two ways from A to B, the wide one drawn against the flow.
    b.system.pipes[1].to = b.point("A");
    b.pipe("A", "B", 50, 0.02).own_id = std::string("narrow");
    b.pipe("B", "A", 50, 0.03).own_id = std::string("wide");
    b.pipe("B", "V1", 1, 0.03);
    const Worksheet sheet = sheet_of(b.system, {0}, 0);
    bool wide = false;
    for (const WorksheetLine& line : sheet.lines) {
        if (line.subject.kind != solver::ElementKind::pipe) continue;
        const std::string id = b.system.pipe_id(line.subject.index);
        EXPECT_NE(id, "narrow");
        if (id == "wide") {
            wide = true;
            EXPECT_LT(line.change, 0);
            EXPECT_GT(line.flow, 5 * gpm);
        }
    }
    EXPECT_TRUE(wide);
    expect_adds_up(sheet);
}

TEST(WorksheetTest, OfTwoSuppliesTheOneThatGivesMore) {
    SystemBuilder b = drawn();
    b.supply("well", 70 * psi).tests = {{{18 * gpm, 0}, {60 * psi, 0}}};
    b.pipe("well", "meter", 1);
    const Worksheet sheet = sheet_of(b.system, {0}, 0);
    EXPECT_EQ(sheet.lines[0].subject.index, 1);
    EXPECT_NEAR(sheet.lines[0].change / psi, 70, 1e-9);
    expect_adds_up(sheet);
}

TEST(WorksheetTest, AHeadWithItsOwnValve) {
    SystemBuilder b;
    b.system.ground = Quantity{0, 0};
    b.nozzle(30 * psi, 10 * gpm);
    b.supply("pond", 60 * psi);
    b.head("H1");
    b.head("H2");
    b.own_valve(0);
    b.own_valve(1);
    b.line({"pond", "H1", "H2"});
    b.default_runs();
    const Worksheet sheet = sheet_of(b.system, {1}, 1);
    EXPECT_EQ(items_of(sheet), (std::vector<std::string>{"static", "supply", "pipe", "pipe", "valve"}));
    EXPECT_EQ(sheet.lines.back().subject.index, 1);
    expect_adds_up(sheet);
}

TEST(WorksheetTest, AHeadTooHighToWaterStillShowsWhereItsPressureGoes) {
    SystemBuilder b = drawn();
    b.head("H2", b.nozzle(30 * psi, 2 * gpm));
    b.at("H2").elevation = Quantity{150 * foot, 0};  // 65 psi up
    b.pipe("H1", "H2", 200 * foot, 1.049 * inch);
    const solver::RunResult result = solve(b.system, {0});
    EXPECT_EQ(result.head_flow[1], 0);
    const Worksheet sheet = make_worksheet(b.system, find_layout(b.system), result, 1);
    EXPECT_LT(sheet.pressure, 0);
    EXPECT_EQ(sheet.lines.back().item, "elevation");
    EXPECT_NEAR(sheet.lines.back().change / psi, -150 * 0.433, 0.1);
    expect_adds_up(sheet);
}

// A two-way meter that opens above 2 psi, between supplies of 62 and 61.5 psi: it holds the half psi, which
// its law does not give.
TEST(WorksheetTest, WhatNoLawDecidesIsToldApart) {
    SystemBuilder b;
    b.system.ground = Quantity{0, 0};
    b.nozzle(30 * psi, 1 * gpm);
    b.supply("first", 62 * psi);
    b.supply("second", 61.5 * psi);
    model::Device& meter = b.device("meter", DeviceType::meter);
    meter.loss.kind = LossKind::chart;
    meter.loss.chart = {{{0, 0}, {2 * psi, 0}}, {{20 * gpm, 0}, {6 * psi, 0}}};
    b.head("H1");
    b.at("H1").elevation = Quantity{900 * foot, 0};
    b.pipe("first", "meter", 10);
    b.pipe("meter", "T", 10);
    b.pipe("second", "T", 10);
    b.pipe("T", "H1", 10);
    b.default_runs();
    const Worksheet sheet = sheet_of(b.system, {}, 0);
    ASSERT_EQ(items_of(sheet),
              (std::vector<std::string>{"static", "supply", "pipe", "meter", "pipe", "pipe", "elevation"}));
    EXPECT_NEAR(sheet.lines[3].change / psi, -0.5, 1e-9);
    EXPECT_NEAR(sheet.lines[3].by_law / psi, -2, 1e-9);
}

TEST(WorksheetTest, RefusesAHeadWithoutWaterAndARunWithoutSolution) {
    SystemBuilder b = drawn();
    EXPECT_THROW(sheet_of(b.system, {}, 0), std::invalid_argument);  // V1 shut
    const model::Layout layout = find_layout(b.system);
    solver::RunResult result = solve(b.system, {0});
    result.failure.emplace();
    EXPECT_THROW(make_worksheet(b.system, layout, result, 0), std::invalid_argument);
}

}  // namespace
}  // namespace evenhead::test
