// Inputs fitted to readings, against what the readings were simulated from: inputs drawn from their own
// spreads, readings with normal noise of the spread that they are said to have (seeded).
#include "solver/diagnosis/calibration.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "solver/diagnosis/faulty_system.hpp"
#include "solver/diagnosis/gauges.hpp"
#include "solver/network/network.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::solver {
namespace {

using model::none;
using model::Quantity;

constexpr double psi = 6894.757293168361;

/// street - meter - T - lawn - H1 ... H4, and T - beds - B1 - B2. The street's pressure, C of the main (two
/// pipes of one line of the case) and the flow of the nozzle are not known well.
model::System old_system() {
    test::SystemBuilder build;
    build.supply("street", 450e3).static_pressure.deviation = 25e3;
    build.device("meter", model::DeviceType::meter).loss = {model::LossKind::cv, {30, 0}, {}, {}, false};
    build.valve("lawn", 20);
    build.valve("beds", 20);
    build.nozzle(200e3, 1.5e-4);
    build.system.nozzles.front().rows.front().value.deviation = 0.15e-4;
    build.line({"street", "meter", "T"}, 60, 0.028);
    for (model::Pipe& pipe : build.system.pipes) {
        pipe.size.edit().c = {120, 20};
        pipe.place.line = 500;
    }
    for (const char* id : {"H1", "H2", "H3", "H4", "B1", "B2"}) build.head(id);
    build.line({"T", "lawn", "H1", "H2", "H3", "H4"}, 10, 0.026);
    build.line({"T", "beds", "B1", "B2"}, 10, 0.026);
    for (model::Point& point : build.system.points) point.elevation = Quantity{0, 0};
    build.default_runs();
    return build.system;
}

/// Pressures at the first and last head, the meter's flow, and the static pressure at the valve.
void ask_readings(model::System& system) {
    const auto add = [&](Index run, const std::string& id, bool flow, double deviation) {
        model::Reading reading;
        reading.run = run;
        reading.all_shut = run == none;
        for (std::size_t i = 0; i < system.points.size(); ++i)
            if (system.points[i].id == id) reading.point = static_cast<Index>(i);
        reading.side = model::Side::inlet;
        (flow ? reading.flow : reading.pressure) = Quantity{1, deviation};
        system.readings.push_back(reading);
    };
    add(0, "H1", false, psi);
    add(0, "H4", false, psi);
    add(0, "meter", true, 1.5e-5);
    add(none, "lawn", false, psi);
}

/// What the gauges of `asked` show in `truth`, with noise.
void read(model::System& asked, const model::System& truth, std::mt19937_64& random) {
    model::System read = truth;
    read.readings = asked.readings;
    std::vector<Index> unused;
    const model::Layout layout = model::find_layout(read);
    const Survey survey = plan_survey(read, layout, none, unused);
    ASSERT_TRUE(unused.empty());
    const Healthy shown = FaultySystem::healthy(survey, model::fault_priors());
    std::normal_distribution<double> noise;
    for (std::size_t i = 0; i < asked.readings.size(); ++i) {
        model::Reading& reading = asked.readings[i];
        Quantity& number = reading.flow ? *reading.flow : *reading.pressure;
        number.value = shown.shown[i] + number.deviation * noise(random);
    }
}

TEST(CalibrationTest, DeterminedInputsLandInsideTheirBands) {
    std::mt19937_64 random(20261128);
    std::normal_distribution<double> normal;
    int all = 0, inside = 0, determined = 0;
    for (int draw = 0; draw < 120; ++draw) {
        model::System system = old_system();
        ask_readings(system);
        model::System truth = system;
        const std::vector<Input> inputs = uncertain_inputs(system);
        ASSERT_EQ(inputs.size(), 3U);
        std::vector<double> values;
        for (const Input& input : inputs) {
            const double change = normal(random) * input.deviation;
            values.push_back(input.value + change);
            change_input(truth, input, change);
        }
        read(system, truth, random);
        const Calibration found =
            calibrate(fill_open_values(system, model::find_layout(system)), {1, none, {}});
        ASSERT_EQ(found.inputs.size(), 3U);
        EXPECT_EQ(found.readings, 4U);
        for (std::size_t i = 0; i < 3; ++i) {
            EXPECT_EQ(found.inputs[i].input.kind, inputs[i].kind);
            EXPECT_EQ(found.inputs[i].input.rows, inputs[i].rows);
            EXPECT_FALSE(found.inputs[i].asked);
            ++all;
            determined += found.inputs[i].determined ? 1 : 0;
            inside += std::abs(found.inputs[i].after - values[i]) <= 2 * found.inputs[i].deviation ? 1 : 0;
        }
    }
    EXPECT_GT(determined, all / 2);
    // 95.4 % of a normal lies within two standard deviations; 99.9 % of the binomial of 360 lies within
    // these.
    EXPECT_GT(inside, 0.915 * all);
    EXPECT_LT(inside, 0.987 * all);
}

TEST(CalibrationTest, WhatNoReadingTouchesStaysAsItWas) {
    model::System system = old_system();
    for (model::Pipe& pipe : system.pipes)
        if (system.point_id(pipe.to) == "B2") pipe.size.edit().c = {130, 10};
    ask_readings(system);
    std::mt19937_64 random(1);
    read(system, system, random);
    const Calibration found = calibrate(fill_open_values(system, model::find_layout(system)), {1, none, {}});
    for (const CalibratedInput& input : found.inputs) {
        if (input.input.value != 130) continue;
        EXPECT_FALSE(input.determined);
        EXPECT_NEAR(input.after, 130, 0.01);
        EXPECT_NEAR(input.deviation, 10, 0.01);
    }
}

TEST(CalibrationTest, UnknownValuesAreFoundFromReadings) {
    model::System truth = old_system();
    truth.supplies[0].static_pressure = {470e3, 0};
    for (model::Pipe& pipe : truth.pipes)
        if (pipe.place.line == 500) pipe.size.edit().c = {95, 0};
    model::System system = truth;
    system.nozzles[0].rows[0].value.deviation = 0;
    truth.nozzles = system.nozzles;
    system.supplies[0].static_pressure = Quantity{};
    for (model::Pipe& pipe : system.pipes)
        if (pipe.place.line == 500) pipe.size.edit().c = Quantity{};
    ask_readings(system);
    std::mt19937_64 random(2);
    read(system, truth, random);
    EXPECT_FALSE(unknown_values(system).empty());
    const Filled filled = fill_open_values(system, model::find_layout(system));
    EXPECT_TRUE(unknown_values(filled.system).empty());
    const Calibration found = calibrate(filled, {1, none, {}});
    ASSERT_EQ(found.inputs.size(), 2U);
    for (const CalibratedInput& input : found.inputs) {
        const double expected = input.input.kind == Input::Kind::supply_pressure ? 470e3 : 95;
        EXPECT_TRUE(input.asked);
        EXPECT_TRUE(input.determined);
        EXPECT_NEAR(input.after, expected, 3 * input.deviation);
    }
    EXPECT_TRUE(unknown_values(found.system).empty());
    EXPECT_NEAR(found.system.supplies[0].static_pressure.value, 470e3, 20e3);
}

TEST(CalibrationTest, SizesAndNozzlesAreChosenAmongCandidates) {
    model::System truth = old_system();
    truth.nozzles[0].rows[0].value.deviation = 0;
    truth.nozzles.push_back(truth.nozzles[0]);
    truth.nozzles[1].id = "large";
    truth.nozzles[1].rows[0].value.value = 3e-4;
    for (const double bore : {0.018, 0.026, 0.035}) {
        model::CustomSize& size = truth.kinds.emplace_back();
        size.size.kind = "old";
        size.size.nominal = std::to_string(static_cast<int>(1000 * bore));
        size.size.bore = {bore, 0};
        size.size.c = {150, 0};
    }
    truth.heads[3].nozzle = 1;
    for (model::Pipe& pipe : truth.pipes) pipe.length.value = 40;
    model::System system = truth;
    system.heads[3].nozzle = none;
    for (model::Pipe& pipe : system.pipes) {
        const std::string& from = system.point_id(pipe.from);
        if (from != "H1" && from != "H2" && from != "H3") continue;
        pipe.place.line = 600;  // one line of the case
        model::PipeSize& size = pipe.size.edit();
        size.kind = "old";
        size.given_unknown = true;
        size.bore = {};
    }
    ask_readings(system);
    std::mt19937_64 random(3);
    read(system, truth, random);
    const Calibration found = calibrate(fill_open_values(system, model::find_layout(system)), {2, none, {}});
    ASSERT_EQ(found.choices.size(), 2U);
    for (const CalibratedChoice& choice : found.choices) {
        double sum = 0;
        for (const double chance : choice.chances) sum += chance;
        EXPECT_NEAR(sum, 1, 1e-9);
        if (choice.choice.what == Choice::What::nozzle) {
            EXPECT_EQ(choice.choice.nozzles[choice.best], 1);
            EXPECT_TRUE(choice.determined);
            EXPECT_EQ(found.system.heads[3].nozzle, 1);
        } else {
            EXPECT_EQ(choice.choice.rows.size(), 3U);
            EXPECT_EQ(choice.choice.sizes[choice.best].nominal, "26");
        }
    }
}

TEST(CalibrationTest, OneWrongReadingDoesNotCarryAllAway) {
    model::System system = old_system();
    ask_readings(system);
    std::mt19937_64 random(4);
    read(system, system, random);
    const Calibration before = calibrate(fill_open_values(system, model::find_layout(system)), {1, none, {}});
    system.readings[1].pressure->value -= 20 * psi;
    const Calibration after = calibrate(fill_open_values(system, model::find_layout(system)), {1, none, {}});
    for (std::size_t i = 0; i < before.inputs.size(); ++i)
        EXPECT_LT(std::abs(after.inputs[i].after - before.inputs[i].after),
                  2.5 * before.inputs[i].input.deviation);
}

}  // namespace
}  // namespace evenhead::solver
