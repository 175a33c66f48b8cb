// What the search for a second balance asks: every set of states of regulators that feed one another is
// solved, and in few steps, also where a set makes no sense.
#include <gtest/gtest.h>

#include "solver/balance/regulator_states.hpp"
#include "tests/model/build_system.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

using namespace solver;

// R1 and R2 feed N; from there a one-way element leads back to the street's main, and R on to a head that a
// tank feeds as well. With R1 and R2 shut nothing can reach R, which would draw through the one-way element
// against its way.
TEST(RegulatorStates, EverySetIsSolvedThoughNothingReachesARegulator) {
    SystemBuilder b;
    b.supply("street", 60 * psi);
    b.supply("tank", 30 * psi);
    for (const auto& [id, set] : {std::pair{"R1", 20}, {"R2", 25}, {"R", 45}}) {
        model::Device& made = b.device(id, model::DeviceType::regulator);
        made.set = model::Quantity{set * psi, 0};
        made.one_way = true;
    }
    b.device("check", model::DeviceType::check).one_way = true;
    b.nozzle(30 * psi, 2 * gpm);
    b.head("H1");
    b.head("H2");
    b.line({"street", "T", "H1"}, 1, 0.05);
    b.line({"T", "R1", "N"}, 1, 0.05);
    b.line({"T", "R2", "N"}, 1, 0.05);
    b.line({"N", "check", "T"}, 1, 0.05);
    b.line({"N", "R", "M", "H2"}, 1, 0.05);
    b.line({"tank", "M"}, 1, 0.05);
    b.default_runs();
    b.system.ground = model::Quantity{0, 0};
    const model::Layout layout = find_layout(b.system);
    ASSERT_TRUE(layout.errors.empty()) << layout.errors[0].text;
    const Network network = build_network(b.system, layout);
    State state = reach(network, open_elements(network, {}));
    const Parts parts = divide(network, state);
    ASSERT_EQ(parts.shared.size(), 3);

    LinkSolver solver(network, state, false);
    RegulatorStates states(solver, parts);
    std::vector<State> balances;
    for (int set = 0; set < 27; ++set) {
        const States tried{static_cast<RegulatorState>(set % 3), static_cast<RegulatorState>(set / 3 % 3),
                           static_cast<RegulatorState>(set / 9)};
        const int before = solver.report().solves;
        EXPECT_TRUE(states.solve(tried, Precision::full, false)) << set;
        EXPECT_LE(solver.report().solves - before, 20) << set;
        if (states.broken(tried, Precision::full).empty()) balances.push_back(solver.state());
    }
    // Which of the regulators that pass nothing is shut is open; the flows are the same.
    ASSERT_FALSE(balances.empty());
    for (const State& other : balances) EXPECT_FALSE(states.differ(balances[0], other));
}

}  // namespace
}  // namespace evenhead::test
