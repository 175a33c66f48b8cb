// Balances of hand-made systems whose answer a pencil can follow. Generated ones: generated_test.cpp.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "solver/balance/balance.hpp"
#include "solver/runs/runs.hpp"
#include "solver/water.hpp"
#include "tests/generator/generator.hpp"
#include "tests/model/build_system.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

using namespace solver;

RunResult balance(model::System& system, const std::vector<Index>& open) {
    const model::Layout layout = find_layout(system);
    EXPECT_TRUE(layout.errors.empty()) << (layout.errors.empty() ? "" : layout.errors[0].text);
    return balance_run(system, build_network(system, layout), 0, open);
}

model::Device& regulator(SystemBuilder& b, const std::string& id, double set) {
    model::Device& made = b.device(id, model::DeviceType::regulator);
    made.set = model::Quantity{set, 0};
    made.one_way = true;
    return made;
}

// Supply without test - pipe - head: p + k q^2 closed by hand. Nozzle 2 gpm at 30 psi; the pipe's loss by its
// formula.
TEST(Balance, OneHeadByHand) {
    SystemBuilder b;
    b.supply("street", 60 * psi);
    b.nozzle(30 * psi, 2 * gpm);
    b.head("H1");
    b.pipe("street", "H1", 30, 0.02);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const RunResult result = balance(b.system, {});
    ASSERT_TRUE(result.closure.solved);
    const double q = result.head_flow[0], mpp = metres_per_pascal(b.system.temperature);
    EXPECT_NEAR(q, 2 * gpm * std::sqrt(result.head_pressure[0] / (30 * psi)),
                1e-9 * q);  // 1e-6 psi, the closure's threshold, is more
    const double loss = 10.67 * 30 * std::pow(q / 150, 1.852) / std::pow(0.02, 4.8704) / mpp;
    EXPECT_NEAR(result.head_pressure[0], 60 * psi - loss, 1e-6 * psi);
}

// Two equal pipes side by side carry half each, whatever their direction.
TEST(Balance, ParallelPipesShare) {
    SystemBuilder b;
    b.supply("street", 60 * psi);
    b.nozzle(30 * psi, 20 * gpm);
    b.head("H1");
    b.pipe("street", "T1", 30, 0.02);
    b.pipe("T1", "T2", 50, 0.02);
    b.pipe("T2", "T1", 50, 0.02).own_id = std::string("back");
    b.pipe("T2", "H1", 5, 0.02);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const RunResult result = balance(b.system, {});
    ASSERT_TRUE(result.closure.solved);
    EXPECT_NEAR(result.pipe_flow[1], result.head_flow[0] / 2, 1e-12);
    EXPECT_NEAR(result.pipe_flow[2], -result.head_flow[0] / 2, 1e-12);
}

TEST(Balance, RegulatorHoldsAndHandsOnWhereItCannot) {
    for (const double set : {40.0, 90.0}) {
        SystemBuilder b;
        b.supply("street", 60 * psi);
        regulator(b, "R", set * psi);
        b.nozzle(30 * psi, 2 * gpm);
        b.head("H1");
        b.line({"street", "R", "H1"}, 1, 0.05);
        b.default_runs();
        b.system.ground = model::Quantity{0, 0};
        const RunResult result = balance(b.system, {});
        ASSERT_TRUE(result.closure.solved);
        EXPECT_EQ(result.device_holding[0], set < 60);
        EXPECT_NEAR(result.device_outlet[0] / psi, set < 60 ? 40 : result.device_inlet[0] / psi, 1e-6);
    }
}

// Three regulators in a row: the lowest set pressure rules, the others pass on what they can.
TEST(Balance, RegulatorsInSeries) {
    std::vector<double> sets{70, 45, 50};
    std::sort(sets.begin(), sets.end());
    do {
        SystemBuilder b;
        b.supply("street", 60 * psi);
        std::vector<std::string> line{"street"};
        for (std::size_t i = 0; i < 3; ++i) {
            line.push_back("R" + std::to_string(i));
            regulator(b, line.back(), sets[i] * psi);
        }
        b.nozzle(30 * psi, 2 * gpm);
        b.head("H1");
        line.push_back("H1");
        b.line(line, 1, 0.05);
        b.default_runs();
        b.system.ground = model::Quantity{0, 0};
        const RunResult result = balance(b.system, {});
        ASSERT_TRUE(result.closure.solved);
        EXPECT_NEAR(result.head_pressure[0] / psi, 45, 0.05);
    } while (std::next_permutation(sets.begin(), sets.end()));
}

// Two regulators feed one tee: the higher one holds and the lower one shuts.
TEST(Balance, SharedRegulatorsTheHigherHolds) {
    SystemBuilder b;
    b.supply("street", 60 * psi);
    regulator(b, "R1", 45 * psi);
    regulator(b, "R2", 35 * psi);
    b.nozzle(30 * psi, 2 * gpm);
    b.head("H1");
    b.line({"street", "T", "R1", "M"}, 1, 0.05);
    b.line({"T", "R2", "M"}, 1, 0.05);
    b.pipe("M", "H1", 1, 0.05);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const RunResult result = balance(b.system, {});
    ASSERT_TRUE(result.closure.solved) << (result.failure ? result.failure->text : "");
    EXPECT_NEAR(result.device_outlet[0] / psi, 45, 1e-6);
    EXPECT_EQ(result.device_flow[1], 0);
    EXPECT_NEAR(result.device_flow[0], result.head_flow[0], 1e-15);
}

// With one set pressure and nothing between their outlets, how two regulators share the flow is open: no
// answer.
TEST(Balance, SeveralStatesAreRefusedByName) {
    SystemBuilder b;
    b.supply("street", 80 * psi);
    for (const char* id : {"R1", "R2"}) {
        model::Device& made = regulator(b, id, 40 * psi);
        made.loss.kind = model::LossKind::cv;
        made.loss.coefficient = model::Quantity{20, 0};
    }
    b.nozzle(30 * psi, 2 * gpm);
    b.head("H1");
    b.line({"street", "T", "R1"}, 1, 0.05);
    b.pipe("T", "R2", 1, 0.05);
    b.pipe("R1", "M", 0, 0.05);
    b.pipe("R2", "M", 0, 0.05);
    b.pipe("M", "H1", 1, 0.05);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const RunResult result = balance(b.system, {});
    ASSERT_TRUE(result.failure);
    EXPECT_EQ(result.failure->kind, "several-states");
    EXPECT_EQ(result.failure->elements.size(), 2U);
    EXPECT_FALSE(result.closure.solved);
}

// A check valve between a strong and a weak supply stays shut towards the strong one.
TEST(Balance, CheckValveShuts) {
    SystemBuilder b;
    b.supply("weak", 40 * psi);
    b.supply("strong", 70 * psi);
    b.device("check", model::DeviceType::check).one_way = true;
    b.nozzle(30 * psi, 2 * gpm);
    b.head("H1");
    b.line({"weak", "check", "M", "H1"}, 1, 0.05);
    b.pipe("strong", "M", 1, 0.05);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const RunResult result = balance(b.system, {});
    ASSERT_TRUE(result.closure.solved);
    EXPECT_EQ(result.device_flow[0], 0);
    EXPECT_EQ(result.supply_flow[0], 0);
    EXPECT_NEAR(result.device_inlet[0] / psi, 40, 1e-9);
}

// A constant draw more than the main brings: short flow at no pressure instead of a negative pressure.
TEST(Balance, ConstantDrawRunsShort) {
    SystemBuilder b;
    b.supply("street", 5 * psi);
    b.nozzle(30 * psi, 500 * gpm);
    b.system.nozzles[0].exponent = 0;
    b.head("H1");
    b.pipe("street", "H1", 100, 0.02);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const RunResult result = balance(b.system, {});
    ASSERT_TRUE(result.closure.solved);
    EXPECT_NEAR(result.head_pressure[0], 0, 1e-6 * psi);
    EXPECT_LT(result.head_flow[0], 500 * gpm);
    EXPECT_GT(result.head_flow[0], 1 * gpm);
}

TEST(Balance, HeadsAboveTheSupplyStayDry) {
    SystemBuilder b;
    b.supply("street", 10 * psi);
    b.nozzle(30 * psi, 2 * gpm);
    b.head("H1");
    b.at("H1").elevation = model::Quantity{20, 0};
    b.pipe("street", "H1", 100, 0.02);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const RunResult result = balance(b.system, {});
    ASSERT_TRUE(result.closure.solved);
    EXPECT_EQ(result.head_flow[0], 0);
    EXPECT_NEAR(result.head_pressure[0], 10 * psi - 20 / metres_per_pascal(b.system.temperature), 1e-9);
}

// Still water: behind a spring the static less its loss, behind a regulator at most its set, behind a check
// nothing lost; what only a check's wrong direction leads to has no pressure.
TEST(Balance, StillWater) {
    SystemBuilder b;
    b.supply("street", 60 * psi);
    model::Device& backflow = b.device("backflow", model::DeviceType::backflow);
    backflow.one_way = true;
    backflow.loss.kind = model::LossKind::chart;
    backflow.loss.chart = {{{0, 0}, {6 * psi, 0}}, {{10 * gpm, 0}, {9 * psi, 0}}};
    regulator(b, "R", 45 * psi);
    b.device("wrong-way", model::DeviceType::check).one_way = true;
    b.line({"street", "backflow", "A", "R", "B"}, 10, 0.03);
    b.line({"far", "wrong-way", "A"}, 10, 0.03);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const RunResult result = balance(b.system, {});
    EXPECT_NEAR(result.device_outlet[0] / psi, 54, 1e-9);
    EXPECT_NEAR(result.device_outlet[1] / psi, 45, 1e-9);
    const auto pressure = [&](const char* id) {
        return result.point_pressure[static_cast<std::size_t>(b.point(id))];
    };
    EXPECT_NEAR(pressure("A") / psi, 54, 1e-9);
    EXPECT_NEAR(pressure("B") / psi, 45, 1e-9);
    EXPECT_TRUE(std::isnan(pressure("far")));
}

TEST(Balance, ClosureSeesWhatIsWrong) {
    SystemBuilder b;
    b.supply("street", 60 * psi);
    b.nozzle(30 * psi, 2 * gpm);
    b.head("H1");
    b.line({"street", "T", "H1"}, 30, 0.02);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const model::Layout layout = find_layout(b.system);
    const Network network = build_network(b.system, layout);
    State state = reach(network, open_elements(network, {}));
    ASSERT_FALSE(solve_state(network, state, false).failure);
    ASSERT_TRUE(check_closure(network, state).solved);
    State moved = state;
    moved.height[static_cast<std::size_t>(network.inlet_node[static_cast<std::size_t>(b.point("T"))])] +=
        1e-5;
    EXPECT_FALSE(check_closure(network, moved).solved);
    State backward = state;
    for (double& flow : backward.flow) flow = -flow;  // balanced, but no head takes water in
    EXPECT_FALSE(check_closure(network, backward).solved);
    State leaking = state;
    leaking.flow.back() *= 1 + 1e-6;
    EXPECT_FALSE(check_closure(network, leaking).solved);
}

// Raising all supplies together lowers no head.
TEST(Balance, MoreSupplyLowersNoHead) {
    for (std::uint64_t seed = 1; seed <= 150; ++seed) {
        const tests::Generated made = tests::generate(seed, {1, 40, true});
        const auto pressures = [&](double raise) {
            model::System raised = made.system;
            for (model::Supply& supply : raised.supplies) {
                supply.static_pressure.value += raise;
                for (model::ChartRow& test : supply.tests) test.value.value += raise;
            }
            return balance_run(raised, build_network(raised, made.layout), 0, raised.runs[0].valves);
        };
        const RunResult low = pressures(0), high = pressures(7 * psi);
        if (!low.closure.solved || !high.closure.solved) continue;
        for (std::size_t h = 0; h < low.head_pressure.size(); ++h) {
            if (std::isnan(low.head_pressure[h])) continue;
            EXPECT_GE(high.head_pressure[h], low.head_pressure[h] - 2e-6 * psi)
                << "seed " << seed << " head " << h;
        }
    }
}

TEST(Runs, SameOnAnyNumberOfThreads) {
    SystemBuilder b;
    b.supply("street", 60 * psi).tests = {{{20 * gpm, 0}, {50 * psi, 0}}};
    b.nozzle(30 * psi, 2 * gpm);
    for (int zone = 0; zone < 40; ++zone) {
        const std::string valve = "V" + std::to_string(zone), head = "H" + std::to_string(zone);
        b.valve(valve);
        b.head(head);
        b.line(
            {zone == 0 ? "street" : "T" + std::to_string(zone - 1), "T" + std::to_string(zone), valve, head},
            20, 0.03);
    }
    b.pipe("T0", "T39", 30, 0.03);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const model::Layout layout = find_layout(b.system);
    std::vector<std::vector<double>> answers;
    for (const int threads : {1, 2, 8}) {
        std::vector<double>& answer = answers.emplace_back();
        Index expected = 0;
        CheckOptions options;
        options.threads = threads;
        check_runs(b.system, layout, options, [&](const RunResult& result, const RunFindings& findings) {
            EXPECT_EQ(result.run, expected++);
            for (const double pressure : result.point_pressure)
                answer.push_back(std::isnan(pressure) ? -1 : pressure);
            answer.push_back(std::isnan(findings.spread) ? -1 : findings.spread);
            answer.push_back(findings.critical_head);
        });
    }
    EXPECT_EQ(answers[0], answers[1]);
    EXPECT_EQ(answers[0], answers[2]);
}

}  // namespace
}  // namespace evenhead::test
