// Derivatives against differences taken from outside: the case is changed a little up and down, and balanced
// whole each time. And by hand, where a nozzle behind a valve is all there is.
#include "solver/review/sensitivity.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <string>

#include "solver/balance/balance.hpp"
#include "solver/runs/runs.hpp"
#include "tests/generator/generator.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

using model::DeviceType;
using model::LossKind;
using model::Quantity;
using solver::Derivative;
using solver::HeadSensitivity;
using solver::InputName;
using Table = solver::InputSubject::Table;

template <class Rows>
auto& row_of(Rows& rows, const Derivative& of) {
    return rows[static_cast<std::size_t>(of.subject.row)];
}

void scale(std::vector<model::ChartRow>& chart, double factor) {
    for (model::ChartRow& entry : chart) entry.value.value *= factor;
}

/// The number of the case itself, as its author would change it.
void change(model::System& system, model::Layout& layout, const Derivative& of, double by) {
    const auto loss = [&](model::Loss& its) {
        if (of.input == InputName::loss) return scale(its.chart, 1 + by);
        (of.input == InputName::bore ? its.bore : its.coefficient).value += by;
    };
    switch (of.subject.table) {
        case Table::supply: {
            model::Supply& supply = row_of(system.supplies, of);
            if (of.input == InputName::static_pressure) supply.static_pressure.value += by;
            if (of.input == InputName::residual)
                for (model::ChartRow& test : supply.tests) test.value.value += by;
            return;
        }
        case Table::pipe: {
            model::Pipe& pipe = row_of(system.pipes, of);
            model::PipeSize& size = pipe.size.edit();
            if (of.input == InputName::bore) size.bore.value += by;
            if (of.input == InputName::c) size.c.value += by;
            if (of.input == InputName::roughness) size.roughness.value += by;
            if (of.input == InputName::length) pipe.length.value += by;
            if (of.input == InputName::k) pipe.k.value += by;
            return;
        }
        case Table::device: {
            model::Device& device = row_of(system.devices, of);
            if (of.input == InputName::set)
                device.set->value += by;
            else if (of.input == InputName::rise)
                scale(device.rise, 1 + by);
            else
                loss(device.loss);
            return;
        }
        case Table::valve: {
            model::Valve& valve = row_of(system.valves, of);
            if (of.input == InputName::set)
                valve.set->value += by;
            else
                loss(valve.loss);
            return;
        }
        case Table::head: {
            model::Head& head = row_of(system.heads, of);
            (of.input == InputName::set ? *head.set : head.joint.coefficient).value += by;
            return;
        }
        case Table::nozzle: {
            auto& rows = row_of(system.nozzles, of).rows;
            if (of.factor)
                scale(rows, 1 + by);
            else
                rows[0].value.value += by;
            return;
        }
        case Table::point:
            row_of(layout.elevation, of) += by;
            return;
    }
}

double pressure(const model::System& system, const model::Layout& layout, const HeadSensitivity& of) {
    const auto result = solver::solve_run(system, layout, of.run);
    return result.failure ? std::nan("") : result.head_pressure[static_cast<std::size_t>(of.head)];
}

struct Compared {
    std::size_t count = 0;
    std::set<InputName> inputs;
};

/// Compares each with a central difference over a hundred-thousandth of its number (of an elevation, of 10
/// m), good to 1e-5 of itself and of what rounding leaves of it.
void compare(const model::System& system, const model::Layout& layout, const HeadSensitivity& of,
             Compared& done) {
    for (const Derivative& derivative : of.derivatives) {
        const double base = derivative.input == InputName::elevation ? 10 : derivative.now;
        const double step = base > 0 ? 3e-5 * base : 1e-3;
        const auto at = [&](double by) {
            model::System changed = system;
            model::Layout moved = layout;
            change(changed, moved, derivative, by);
            return pressure(changed, moved, of);
        };
        // A length of 0 has nothing below it: three points on one side are as good.
        const double difference = base > 0 ? (at(step) - at(-step)) / (2 * step)
                                           : (4 * at(step) - 3 * at(0) - at(2 * step)) / (2 * step);
        const double rounding = 2e-7 / step;  // Pa
        EXPECT_NEAR(derivative.value, difference, 1e-5 * std::abs(difference) + rounding)
            << solver::input_name(derivative.input) << " of row " << derivative.subject.row << " in table "
            << static_cast<int>(derivative.subject.table);
        ++done.count;
        done.inputs.insert(derivative.input);
    }
}

Compared compare_all(const model::System& system) {
    const model::Layout layout = find_layout(system);
    std::vector<solver::HeadOfRun> heads;
    for (Index run = 0; run < static_cast<Index>(system.runs.size()); ++run)
        for (Index head = 0; head < static_cast<Index>(system.heads.size()); ++head)
            heads.push_back({run, head});
    Compared done;
    for (const HeadSensitivity& of : solver::find_sensitivity(system, layout, heads, 1)) {
        EXPECT_FALSE(of.derivatives.empty());
        compare(system, layout, of, done);
    }
    return done;
}

// p = P / (1 + (k/cv)^2) behind a valve of cv and a nozzle of k gpm at 1 psi (see acceptance_test.cpp).
TEST(Sensitivity, OfANozzleBehindAValveIsAsByHand) {
    constexpr double cv = 4, k = 0.5, P = 60, share = 1 / (1 + k * k / (cv * cv));
    SystemBuilder b;
    b.system.ground = Quantity{0, 0};
    b.nozzle(1 * psi, k * gpm);
    b.supply("street", P * psi);
    b.valve("V1", cv);
    b.head("H1");
    b.line({"street", "V1", "H1"}, 0, 1);
    b.default_runs();
    const auto found = solver::find_sensitivity(b.system, find_layout(b.system), {{0, 0}}, 1);
    ASSERT_EQ(found.size(), 1U);
    EXPECT_NEAR(found[0].pressure, P * share * psi, 1e-5 * psi);
    std::set<std::string> seen;
    for (const Derivative& of : found[0].derivatives) {
        const std::string name(solver::input_name(of.input));
        seen.insert(name + (of.subject.table == Table::point ? std::to_string(of.subject.row) : ""));
        // A foot more at the nozzle costs its share of what a foot less static would.
        const std::map<std::string, std::pair<double, double>> by_hand{
            {"static", {of.value, share}},
            {"cv", {of.value / psi, P * share * share * 2 * k * k / std::pow(cv, 3)}},
            {"nozzle_flow", {of.value * gpm / psi, -P * share * share * 2 * k / (cv * cv)}},
            {"elevation", {of.value * foot / psi, (of.subject.row == 0 ? 1 : -1) * share * 0.43310}}};
        ASSERT_TRUE(by_hand.contains(name)) << name;
        EXPECT_NEAR(by_hand.at(name).first, by_hand.at(name).second, name == "elevation" ? 1e-3 : 1e-7)
            << name;
    }
    EXPECT_EQ(seen, (std::set<std::string>{"static", "cv", "nozzle_flow", "elevation0", "elevation2"}));
}

/// Two supplies, a pump, a chart, a k, a loop, a regulating valve, heads with joints and regulation.
SystemBuilder park() {
    SystemBuilder b;
    b.system.ground = Quantity{3, 0};
    b.supply("street", 420e3).tests = {{{1.2e-3, 0}, {350e3, 0}}, {{2.4e-3, 0}, {240e3, 0}}};
    b.supply("pond", 0);
    model::Device& pump = b.device("pump", DeviceType::pump);
    pump.rise = {{{0, 0}, {400e3, 0}}, {{5e-4, 0}, {370e3, 0}}, {{2e-3, 0}, {200e3, 0}}};
    model::Device& meter = b.device("meter", DeviceType::meter);
    meter.loss.kind = LossKind::chart;
    meter.loss.chart = {{{0.5e-3, 0}, {9e3, 0}}, {{1e-3, 0}, {31e3, 0}}, {{2e-3, 0}, {140e3, 0}}};
    model::Device& backflow = b.device("backflow", DeviceType::backflow);
    backflow.one_way = true;
    backflow.loss = {LossKind::chart, {}, {}, {{{0, 0}, {20e3, 0}}, {{1e-3, 0}, {35e3, 0}}}, false};
    model::Device& gate = b.device("gate", DeviceType::gate);
    gate.loss = {LossKind::k, {0.4, 0}, {0.04, 0}, {}, false};
    model::Device& filter = b.device("filter", DeviceType::filter);
    filter.loss = {LossKind::kv, {9, 0}, {}, {}, false};
    b.valve("held", 9).set = Quantity{180e3, 0};
    b.valve("open", 14);
    b.nozzle(200e3, 1.5e-4);
    b.nozzle(200e3, 1.2e-4);
    b.system.nozzles[1].rows = {
        {{100e3, 0}, {0.8e-4, 0}}, {{200e3, 0}, {1.2e-4, 0}}, {{400e3, 0}, {1.65e-4, 0}}};
    b.nozzle(200e3, 0.6e-4);
    b.system.nozzles[2].exponent = 0;
    for (int i = 1; i <= 3; ++i) {
        const std::string n = std::to_string(i);
        b.head("A" + n, i - 1).joint = {LossKind::cv, {2.5, 0}};
        b.head("B" + n, i - 1).joint = {LossKind::kv, {2.1, 0}};
        b.at("B" + n).elevation = Quantity{3.5 + 0.4 * i, 0};
    }
    b.system.heads[2].set = Quantity{150e3, 0};  // A2, holding or not
    b.system.heads[3].set = Quantity{210e3, 0};  // B2
    b.line({"street", "meter", "backflow", "M1", "gate", "M2", "held"}, 21, 0.035);
    b.line({"pond", "pump", "filter", "M3"}, 14, 0.04);
    b.line({"M1", "M3", "M2"}, 33, 0.032);
    b.line({"M3", "open", "B1", "B2", "B3"}, 9, 0.022);
    b.line({"held", "A1", "A2", "A3"}, 8, 0.02);
    for (std::size_t i = 0; i < b.system.pipes.size(); ++i) {
        b.system.pipes[i].k = {0.3 + 0.1 * static_cast<double>(i), 0};
        b.system.pipes[i].size.edit().roughness = {4e-5, 0};
    }
    b.system.pipes[0].fittings = 0.1;
    b.system.runs = {{"held", {0}, false, {}}, {"open", {1}, false, {}}, {"both", {0, 1}, false, {}}};
    return b;
}

TEST(Sensitivity, OfEveryHeadToEveryInputIsAsWholeBalancesSay) {
    const Compared done = compare_all(park().system);
    EXPECT_GT(done.count, 200U);
    for (int input = 0; input <= static_cast<int>(InputName::rise); ++input) {
        const auto name = static_cast<InputName>(input);
        EXPECT_EQ(done.inputs.contains(name), name != InputName::roughness) << solver::input_name(name);
    }
}

TEST(Sensitivity, OfDarcyWeisbachLikewise) {
    SystemBuilder b = park();
    b.system.friction = model::FrictionLaw::darcy_weisbach;
    const Compared done = compare_all(b.system);
    EXPECT_GT(done.count, 200U);
    EXPECT_TRUE(done.inputs.contains(InputName::roughness));
}

TEST(Sensitivity, OfGeneratedSystemsLikewise) {
    std::size_t systems = 0;
    Compared done;
    for (std::uint64_t seed = 1; systems < 25; ++seed) {
        const tests::Generated made = tests::generate(seed, {3, 25, false});
        std::vector<solver::HeadOfRun> heads;
        for (Index run = 0; run < static_cast<Index>(std::min<std::size_t>(2, made.system.runs.size()));
             ++run) {
            const auto result = solver::solve_run(made.system, made.layout, run);
            if (result.failure) continue;
            Index lowest = model::none;
            for (Index head = 0; head < static_cast<Index>(made.system.heads.size()); ++head) {
                const auto pressure_of = [&](Index h) {
                    return result.head_pressure[static_cast<std::size_t>(h)];
                };
                if (!(result.head_flow[static_cast<std::size_t>(head)] > 0)) continue;
                if (lowest == model::none || pressure_of(head) < pressure_of(lowest)) lowest = head;
            }
            if (lowest != model::none) heads.push_back({run, lowest});
        }
        if (heads.empty()) continue;
        ++systems;
        SCOPED_TRACE("seed " + std::to_string(seed));
        for (const HeadSensitivity& of : solver::find_sensitivity(made.system, made.layout, heads, 1))
            compare(made.system, made.layout, of, done);
    }
    EXPECT_GT(done.count, 1000U);
}

// What a size up gains, by the law at the flow at hand, beside what a whole balance says: the flows move too,
// and the zone passes more. Between two supplies, or in a ring, more water also takes the way that was made
// larger.
TEST(Sensitivity, OfASizeOfPipeIsNearToWhatTheLargerPipeBrings) {
    SystemBuilder b = park();
    for (model::Pipe& pipe : b.system.pipes) {
        pipe.size.edit().kind = "pvc-cl200";
        pipe.size.edit().nominal = "1-1/4";
        pipe.size.edit().bore = {1.502 * inch, 0};
    }
    const model::Layout layout = find_layout(b.system);
    const auto found = solver::find_sensitivity(b.system, layout, {{1, 5}}, 1);
    ASSERT_EQ(found.size(), 1U);
    std::size_t sized = 0;
    for (const Derivative& of : found[0].derivatives) {
        if (of.input != InputName::bore || of.subject.table != Table::pipe) continue;
        ++sized;
        EXPECT_EQ(of.size, "1-1/2");
        model::System larger = b.system;
        larger.pipes[static_cast<std::size_t>(of.subject.row)].size.edit().bore.value = of.now + of.step;
        const double brings = pressure(larger, layout, found[0]) - found[0].pressure;
        const bool shared = layout.pipe_on_mainline[static_cast<std::size_t>(of.subject.row)] != 0;
        EXPECT_NEAR(of.gain, brings, (shared ? 0.25 : 0.1) * of.gain);
    }
    EXPECT_GT(sized, 3U);
}

TEST(Sensitivity, TheSameOnAnyNumberOfThreadsAndInOrder) {
    const SystemBuilder b = park();
    const model::Layout layout = find_layout(b.system);
    const std::vector<solver::HeadOfRun> heads{{0, 0}, {1, 1}, {2, 5}, {1, 0}};
    const auto one = solver::find_sensitivity(b.system, layout, heads, 1),
               two = solver::find_sensitivity(b.system, layout, heads, 2);
    ASSERT_EQ(one.size(), 3U) << "A1 does not run with the other zone open";
    ASSERT_EQ(two.size(), one.size());
    for (std::size_t i = 0; i < one.size(); ++i) {
        ASSERT_EQ(one[i].derivatives.size(), two[i].derivatives.size());
        for (std::size_t j = 0; j < one[i].derivatives.size(); ++j) {
            EXPECT_EQ(one[i].derivatives[j].value, two[i].derivatives[j].value);
            const double before = j > 0 ? std::abs(one[i].derivatives[j - 1].gain) : 1e300;
            EXPECT_GE(before, std::abs(one[i].derivatives[j].gain));
        }
    }
}

}  // namespace
}  // namespace evenhead::test
