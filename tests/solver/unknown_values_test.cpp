#include <gtest/gtest.h>

#include <stdexcept>

#include "solver/network/network.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::test {
namespace {

TEST(UnknownValues, AreNamedEach) {
    SystemBuilder b;
    b.supply("street", 400e3);
    b.valve("V1");
    b.nozzle(200e3, 1e-4);
    b.head("H1");
    b.line({"street", "V1", "H1"});
    b.default_runs();
    EXPECT_TRUE(solver::unknown_values(b.system).empty());
    b.system.pipes[0].size.edit().given_unknown = true;
    b.system.valves[0].loss.coefficient = {};
    b.system.heads[0].nozzle = model::none;
    b.system.supplies[0].static_pressure = {};
    const auto missing = solver::unknown_values(b.system);
    ASSERT_EQ(missing.size(), 4U);
    EXPECT_EQ(missing[0].row, "street");
    EXPECT_EQ(missing[1].row, "V1");
    EXPECT_EQ(missing[2].row, "H1");
    EXPECT_EQ(missing[3].row, "street-V1");
    EXPECT_THROW(solver::build_network(b.system, find_layout(b.system)), std::invalid_argument);
}

}  // namespace
}  // namespace evenhead::test
