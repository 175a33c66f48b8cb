// A condition changes what it names, by hand calculation, and nothing else.
#include <gtest/gtest.h>

#include "model/conditions.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::test {
namespace {

using model::Change;
using model::Condition;

class Conditions : public ::testing::Test {
  protected:
    Conditions() {
        b.supply("street", 400e3).tests = {{{1e-3, 0}, {300e3, 0}}, {{2e-3, 0}, {40e3, 0}}};
        b.supply("pond", 0);
        b.device("pump", model::DeviceType::pump);
        b.device("gate", model::DeviceType::gate);
        b.nozzle(200e3, 1e-4);
        b.head("H");
        b.line({"pond", "pump", "gate", "H"});
        b.pipe("street", "H");
        b.system.pipes[0].size.edit().kind = "steel-sch40";
    }
    SystemBuilder b;
    Condition condition;
};

TEST_F(Conditions, StaticAndResidualsMoveTogetherAndNeverBelowZero) {
    const model::System low = under_condition(b.system, model::supply_change("low", -70e3));
    EXPECT_DOUBLE_EQ(low.supplies[0].static_pressure.value, 330e3);
    EXPECT_DOUBLE_EQ(low.supplies[0].tests[0].value.value, 230e3);
    EXPECT_DOUBLE_EQ(low.supplies[0].tests[1].value.value, 0);
    EXPECT_DOUBLE_EQ(low.supplies[1].static_pressure.value, 0) << "open water has none to lose";
    EXPECT_DOUBLE_EQ(
        under_condition(b.system, model::supply_change("high", 70e3)).supplies[1].static_pressure.value, 0);
    EXPECT_DOUBLE_EQ(
        under_condition(b.system, model::supply_change("none", -500e3)).supplies[0].static_pressure.value, 0);
}

TEST_F(Conditions, AShareIsOfEveryPressureOfTheSupply) {
    condition.supply = Change{Change::How::times, 0.9};
    const model::System low = under_condition(b.system, condition);
    EXPECT_DOUBLE_EQ(low.supplies[0].static_pressure.value, 360e3);
    EXPECT_DOUBLE_EQ(low.supplies[0].tests[0].value.value, 270e3);
}

TEST_F(Conditions, CByKindStandsBeforeTheChangeOfAll) {
    condition.c = Change{Change::How::times, 0.9};
    condition.c_by_kind["steel-sch40"] = 90;
    const model::System rough = under_condition(b.system, condition);
    EXPECT_DOUBLE_EQ(rough.pipes[0].size->c.value, 90);
    EXPECT_DOUBLE_EQ(rough.pipes[1].size->c.value, 135);
    EXPECT_DOUBLE_EQ(b.system.pipes[0].size->c.value, 150) << "the system given stays as it is";
    condition.c = Change{Change::How::to, 100};
    EXPECT_DOUBLE_EQ(under_condition(b.system, condition).pipes[1].size->c.value, 100);
}

TEST_F(Conditions, NozzlesWearPumpsStopGatesShutWaterWarms) {
    condition.nozzle = Change{Change::How::times, 1.1};
    condition.pumps_off = {0};
    condition.closed_devices = {1};
    condition.closed_pipes = {2};
    condition.temperature = 30;
    const model::System changed = under_condition(b.system, condition);
    EXPECT_DOUBLE_EQ(changed.nozzles[0].rows[0].value.value, 1.1e-4);
    EXPECT_DOUBLE_EQ(changed.nozzles[0].rows[0].at.value, 200e3);
    EXPECT_TRUE(changed.devices[0].closed);
    EXPECT_TRUE(changed.devices[1].closed);
    EXPECT_TRUE(changed.pipes[2].closed);
    EXPECT_FALSE(changed.pipes[1].closed);
    EXPECT_DOUBLE_EQ(changed.temperature, 30);
}

TEST_F(Conditions, TheUsualDropIsTenPsiOrSeventyKilopascals) {
    EXPECT_NEAR(model::usual_supply_drop(b.system), -68947.57, 0.01);
    b.system.units = model::UnitSystem::metric;
    EXPECT_DOUBLE_EQ(model::usual_supply_drop(b.system), -70e3);
    EXPECT_TRUE(model::has_supply_pressure(b.system));
    b.system.supplies.erase(b.system.supplies.begin());
    EXPECT_FALSE(model::has_supply_pressure(b.system));
}

}  // namespace
}  // namespace evenhead::test
