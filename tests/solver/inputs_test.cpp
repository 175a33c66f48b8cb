// Each input that a case may give with a spread: found once, changed alone, and shared where it is one.
#include "solver/inputs/inputs.hpp"

#include <gtest/gtest.h>

#include <functional>

#include "tests/model/build_system.hpp"

namespace evenhead::solver {
namespace {

using Kind = Input::Kind;
using model::LossKind;

/// street - meter - lawn - H1; nothing in it is uncertain.
model::System plain() {
    test::SystemBuilder build;
    build.supply("street").tests = {{{1e-3, 0}, {350e3, 0}}};
    build.device("meter", model::DeviceType::meter).loss = {LossKind::cv, {20, 0}, {}, {}, false};
    build.valve("lawn");
    build.nozzle(200e3, 2e-4);
    build.head("H1").joint = {LossKind::cv, {4, 0}};
    build.system.points.front().elevation = model::Quantity{10, 0};
    for (int i = 0; i < 3; ++i) {
        model::Pipe& pipe = build.system.pipes.emplace_back();
        pipe.from = i;
        pipe.to = i + 1;
        pipe.length = {30, 0};
        pipe.k = {2, 0};
        pipe.place = {0, i < 2 ? 7 : 8, 1};
        model::PipeSize& size = pipe.size.edit();
        size.bore = {0.03, 0};
        size.c = {140, 0};
        size.roughness = {1e-4, 0};
    }
    return build.system;
}

struct Case {
    const char* name;
    Kind kind;
    double value, deviation, change;
    std::function<void(model::System&)> spread;
    std::function<double(const model::System&)> read;
    double changed;  ///< what `read` says after the change
};

std::vector<Case> cases() {
    const auto chart = [](model::Loss& loss, double deviation) {
        loss.kind = LossKind::chart;
        loss.chart = {{{0, 0}, {0, 0}}, {{1e-3, 0}, {20e3, deviation}}};
    };
    return {
        {"supply", Kind::supply_pressure, 400e3, 5e3, -20e3,
         [](auto& s) { s.supplies[0].static_pressure.deviation = 5e3; },
         [](auto& s) { return s.supplies[0].static_pressure.value; }, 380e3},
        {"residual", Kind::supply_pressure, 400e3, 6e3, -20e3,
         [](auto& s) { s.supplies[0].tests[0].value.deviation = 6e3; },
         [](auto& s) { return s.supplies[0].tests[0].value.value; }, 330e3},
        {"C", Kind::pipe_c, 140, 8, -30, [](auto& s) { s.pipes[2].size.edit().c.deviation = 8; },
         [](auto& s) { return s.pipes[2].size->c.value; }, 110},
        {"roughness", Kind::pipe_roughness, 1e-4, 2e-5, 1e-4,
         [](auto& s) { s.pipes[2].size.edit().roughness.deviation = 2e-5; },
         [](auto& s) { return s.pipes[2].size->roughness.value; }, 2e-4},
        {"bore", Kind::pipe_bore, 0.03, 1e-3, -0.002,
         [](auto& s) { s.pipes[2].size.edit().bore.deviation = 1e-3; },
         [](auto& s) { return s.pipes[2].size->bore.value; }, 0.028},
        {"length", Kind::pipe_length, 30, 2, 5, [](auto& s) { s.pipes[2].length.deviation = 2; },
         [](auto& s) { return s.pipes[2].length.value; }, 35},
        {"k", Kind::pipe_loss, 2, 0.5, 1, [](auto& s) { s.pipes[2].k.deviation = 0.5; },
         [](auto& s) { return s.pipes[2].k.value; }, 3},
        {"nozzle", Kind::nozzle_flow, 1, 0.05, 0.1,
         [](auto& s) { s.nozzles[0].rows[0].value.deviation = 1e-5; },
         [](auto& s) { return s.nozzles[0].rows[0].value.value; }, 2.2e-4},
        {"joint", Kind::joint, 4, 1, -1, [](auto& s) { s.heads[0].joint.coefficient.deviation = 1; },
         [](auto& s) { return s.heads[0].joint.coefficient.value; }, 3},
        {"device cv", Kind::device_loss, 20, 2, -4,
         [](auto& s) { s.devices[0].loss.coefficient.deviation = 2; },
         [](auto& s) { return s.devices[0].loss.coefficient.value; }, 16},
        {"device chart", Kind::device_loss, 1, 0.1, 0.5, [=](auto& s) { chart(s.devices[0].loss, 2e3); },
         [](auto& s) { return s.devices[0].loss.chart[1].value.value; }, 30e3},
        {"valve cv", Kind::valve_loss, 10, 2, 3, [](auto& s) { s.valves[0].loss.coefficient.deviation = 2; },
         [](auto& s) { return s.valves[0].loss.coefficient.value; }, 13},
        {"valve chart", Kind::valve_loss, 1, 0.1, -0.5, [=](auto& s) { chart(s.valves[0].loss, 2e3); },
         [](auto& s) { return s.valves[0].loss.chart[1].value.value; }, 10e3},
        {"device set", Kind::device_set, 300e3, 9e3, -50e3,
         [](auto& s) {
             s.devices[0].set = model::Quantity{300e3, 9e3};
         },
         [](auto& s) { return s.devices[0].set->value; }, 250e3},
        {"valve set", Kind::valve_set, 250e3, 9e3, 10e3,
         [](auto& s) {
             s.valves[0].set = model::Quantity{250e3, 9e3};
         },
         [](auto& s) { return s.valves[0].set->value; }, 260e3},
        {"head set", Kind::head_set, 200e3, 9e3, 10e3,
         [](auto& s) {
             s.heads[0].set = model::Quantity{200e3, 9e3};
         },
         [](auto& s) { return s.heads[0].set->value; }, 210e3},
        {"elevation", Kind::elevation, 10, 0.5, -3, [](auto& s) { s.points[0].elevation->deviation = 0.5; },
         [](auto& s) { return s.points[0].elevation->value; }, 7},
    };
}

TEST(Inputs, NothingIsUncertainWithoutASpread) {
    EXPECT_TRUE(uncertain_inputs(plain()).empty());
}

TEST(Inputs, EachIsFoundAndChangedAlone) {
    for (const Case& of : cases()) {
        model::System system = plain();
        of.spread(system);
        const std::vector<Input> inputs = uncertain_inputs(system);
        ASSERT_EQ(inputs.size(), 1U) << of.name;
        EXPECT_EQ(inputs[0].kind, of.kind) << of.name;
        EXPECT_EQ(inputs[0].rows.size(), 1U) << of.name;
        EXPECT_DOUBLE_EQ(inputs[0].value, of.value) << of.name;
        EXPECT_DOUBLE_EQ(inputs[0].deviation, of.deviation) << of.name;
        std::vector<double> before;
        for (const Case& other : cases())
            if (other.kind != of.kind) {
                model::System same = system;
                other.spread(same);
                before.push_back(other.read(same));
            }
        change_input(system, inputs[0], of.change);
        EXPECT_DOUBLE_EQ(of.read(system), of.changed) << of.name;
        std::size_t i = 0;
        for (const Case& other : cases())
            if (other.kind != of.kind) {
                model::System same = system;
                other.spread(same);
                EXPECT_EQ(other.read(same), before[i++]) << of.name << " changes " << other.name;
            }
    }
}

TEST(Inputs, StaticAndResidualMoveTogether) {
    model::System system = plain();
    system.supplies[0].static_pressure.deviation = 4e3;
    system.supplies[0].tests[0].value.deviation = 7e3;
    const auto inputs = uncertain_inputs(system);
    ASSERT_EQ(inputs.size(), 1U);
    EXPECT_DOUBLE_EQ(inputs[0].deviation, 7e3);
    change_input(system, inputs[0], 10e3);
    EXPECT_DOUBLE_EQ(system.supplies[0].static_pressure.value, 410e3);
    EXPECT_DOUBLE_EQ(system.supplies[0].tests[0].value.value, 360e3);
}

TEST(Inputs, PipesOfOneLineShareOneDraw) {
    model::System system = plain();  // two pipes of line 7, one of line 8
    for (model::Pipe& pipe : system.pipes) pipe.size.edit().c.deviation = 8;
    const auto inputs = uncertain_inputs(system);
    ASSERT_EQ(inputs.size(), 2U);
    EXPECT_EQ(inputs[0].rows, (std::vector<Index>{0, 1}));
    EXPECT_EQ(inputs[1].rows, (std::vector<Index>{2}));
    change_input(system, inputs[0], -40);
    EXPECT_DOUBLE_EQ(system.pipes[0].size->c.value, 100);
    EXPECT_DOUBLE_EQ(system.pipes[1].size->c.value, 100);
    EXPECT_DOUBLE_EQ(system.pipes[2].size->c.value, 140);
}

// What several pipes say apart is drawn apart, on one line too.
TEST(Inputs, DifferentNumbersOfOneLineAreDifferentInputs) {
    model::System system = plain();
    for (int i = 0; i < 2; ++i) system.pipes[static_cast<std::size_t>(i)].length = {30.0 + i, 2};
    EXPECT_EQ(uncertain_inputs(system).size(), 2U);
}

// Two rows may stand on one line of TOML: each is drawn for itself.
TEST(Inputs, TwoRowsOfOneLineAreTwoInputs) {
    model::System system = plain();
    for (model::Pipe& pipe : system.pipes) pipe.size.edit().c.deviation = 8;
    system.pipes[1].place.column = 40;
    EXPECT_EQ(uncertain_inputs(system).size(), 3U);
}

TEST(Inputs, NothingFallsToZero) {
    model::System system = plain();
    system.pipes[2].size.edit().bore.deviation = 1e-3;
    system.nozzles[0].rows[0].value.deviation = 1e-5;
    for (const Input& input : uncertain_inputs(system)) change_input(system, input, -1e3);
    EXPECT_DOUBLE_EQ(system.pipes[2].size->bore.value, 0.03 / 1000);
    EXPECT_DOUBLE_EQ(system.nozzles[0].rows[0].value.value, 2e-4 / 1000);
}

TEST(Inputs, WhatIsTakenForExactIsNoInputAnyMore) {
    for (const Case& of : cases()) {
        model::System system = plain();
        of.spread(system);
        const double before = of.read(system);
        forget_spread(system, uncertain_inputs(system).at(0));
        EXPECT_TRUE(uncertain_inputs(system).empty()) << of.name;
        EXPECT_EQ(of.read(system), before) << of.name;
    }
}

TEST(Inputs, WhatIsNotKnownIsNoInput) {
    model::System system = plain();
    system.pipes[2].size.edit().c = {std::numeric_limits<double>::quiet_NaN(), 5};
    EXPECT_TRUE(uncertain_inputs(system).empty());
}

}  // namespace
}  // namespace evenhead::solver
