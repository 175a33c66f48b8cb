// Predicted against measured, by hand. Behind a source of static pressure P with nothing but a valve (q = cv
// sqrt(dp), gpm and psi: the definition of cv) and a nozzle (q = k sqrt(p)) the nozzle gets P / (1 +
// (k/cv)^2) and passes k times its root.
#include "solver/acceptance/acceptance.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

using solver::Acceptance;

constexpr double cv = 4, k = 0.5;  // gpm at 1 psi
constexpr double share = 1 / (1 + (k / cv) * (k / cv));

/// street - V1 - H1 with 60 psi, and a reading of 1 psi spread (standard deviation) at its nozzle.
model::System system(double static_deviation, double measured) {
    SystemBuilder b;
    b.system.ground = model::Quantity{0, 0};
    b.nozzle(1 * psi, k * gpm);
    b.supply("street", 60 * psi).static_pressure.deviation = static_deviation;
    b.valve("V1", cv);
    b.head("H1");
    b.line({"street", "V1", "H1"}, 0, 1);
    b.default_runs();
    model::Reading reading;
    reading.run = 0;
    reading.point = b.point("H1");
    reading.pressure = model::Quantity{measured, 1 * psi};
    b.system.readings.push_back(reading);
    return b.system;
}

Acceptance accept(const model::System& system) {
    return solver::accept_readings(system, find_layout(system), {1, nullptr});
}

TEST(Acceptance, TwoStandardDeviationsOfTheReadingAlone) {
    const Acceptance found = accept(system(0, 50 * psi));
    ASSERT_EQ(found.readings.size(), 1U);
    const solver::AcceptedReading& of = found.readings[0];
    EXPECT_NEAR(of.predicted, 60 * share * psi, 1e-5 * psi);
    EXPECT_NEAR(of.difference, (50 - 60 * share) * psi, 1e-5 * psi);
    EXPECT_NEAR(of.allowed, 2 * psi, 1e-9 * psi);
    EXPECT_EQ(of.model_deviation, 0);
    EXPECT_FALSE(of.accepted);
    EXPECT_EQ(found.rejected(), 1U);
    EXPECT_EQ(found.given_spreads + found.usual_spreads, 0U);
}

// The spread of the static pressure reaches the nozzle as `share` of it, and adds to the reading's in square.
TEST(Acceptance, TheSpreadOfTheModelIsAllowedToo) {
    const double allowed = 2 * std::sqrt(1 + share * share * 9);
    const Acceptance inside = accept(system(3 * psi, (60 * share - allowed + 0.01) * psi));
    EXPECT_NEAR(inside.readings[0].model_deviation, 3 * share * psi, 1e-5 * psi);
    EXPECT_NEAR(inside.readings[0].allowed, allowed * psi, 1e-5 * psi);
    EXPECT_TRUE(inside.accepted());
    const Acceptance outside = accept(system(3 * psi, (60 * share - allowed - 0.01) * psi));
    EXPECT_FALSE(outside.accepted());
}

// A flow strays as the root of the pressure.
TEST(Acceptance, AFlowIsJudgedAsAFlow) {
    model::System of = system(3 * psi, 0);
    of.readings[0].pressure.reset();
    of.readings[0].flow = model::Quantity{4 * gpm, 0.1 * gpm};
    const auto flow = [](double pressure) { return k * std::sqrt(pressure * share); };
    const Acceptance found = accept(of);
    EXPECT_NEAR(found.readings[0].predicted, flow(60) * gpm, 1e-7 * gpm);
    const double model = (flow(63) - flow(57)) / 2;
    EXPECT_NEAR(found.readings[0].allowed, 2 * std::hypot(0.1, model) * gpm, 1e-6 * gpm);
}

// With every valve shut the gauge at the source shows the static pressure and strays with the whole of it;
// what stands behind the shut valve is not known.
TEST(Acceptance, AllShutThereIsNothingBehindTheValve) {
    model::System of = system(3 * psi, 1);
    of.readings[0].all_shut = true;
    of.readings[0].run = model::none;
    of.readings.push_back(of.readings[0]);
    of.readings[1].point = 0;
    of.readings[1].pressure = model::Quantity{66 * psi, 1 * psi};
    const Acceptance found = accept(of);
    EXPECT_EQ(found.unused, std::vector<Index>{0});
    ASSERT_EQ(found.readings.size(), 1U);
    EXPECT_NEAR(found.readings[0].predicted, 60 * psi, 1e-6 * psi);
    EXPECT_NEAR(found.readings[0].allowed, 2 * std::sqrt(10.0) * psi, 1e-6 * psi);
    EXPECT_TRUE(found.accepted());
}

TEST(Acceptance, NothingReadIsAnError) {
    model::System of = system(0, 50 * psi);
    of.readings.clear();
    EXPECT_THROW(accept(of), std::invalid_argument);
}

}  // namespace
}  // namespace evenhead::test
