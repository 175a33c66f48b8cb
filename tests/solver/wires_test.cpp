// Voltage at solenoids by hand: R = r l, with r of AWG 18 at 25 degC, 6.510 ohm in 1,000 ft (National Bureau
// of Standards, Circular 31).
#include "solver/crew/wires.hpp"

#include <gtest/gtest.h>

#include <stdexcept>

#include "tests/io/case_folder.hpp"

namespace evenhead::solver {
namespace {

/// Two valves on one main: A at 400 ft, B 300 ft farther on; `more` is added at the top.
std::string two_valves(const std::string& more = "") {
    return more +
           "supplies = [ { id = \"street\", static = 60 } ]\n"
           "valves = [ { id = \"A\", cv = 10 }, { id = \"B\", cv = 10 } ]\n"
           "nozzles = [ { id = \"n\", pressure = 30, flow = 1 } ]\n"
           "heads = [ { id = \"H\", nozzle = \"n\" }, { id = \"I\", nozzle = \"n\" } ]\n"
           "pipes = [\n"
           "  { along = \"street 400 T 0 A\", size = \"pvc-sch40 1\" },\n"
           "  { along = \"T 300 B\", size = \"pvc-sch40 1\" },\n"
           "  { along = \"A 10 H\", size = \"pvc-cl200 1\" },\n"
           "  { along = \"B 10 I\", size = \"pvc-cl200 1\" },\n"
           "]\n";
}

struct Wired {
    model::System system;
    model::Layout layout;
    model::Takeoff takeoff;
    WireSheet sheet;
    explicit Wired(const std::string& toml, const std::string& gauge = "18 AWG",
                   const model::CrewTable& table = model::crew_table())
        : system(io::system_of(toml)),
          layout(model::find_layout(system)),
          takeoff(model::take_off(system, layout)),
          sheet(wire_drops(system, takeoff, table, gauge)) {}
};

constexpr double r = 6.510 / 1000;  // ohm per ft

TEST(Wires, AValveAloneLosesInBothWires) {
    const Wired wired(two_valves());
    ASSERT_EQ(wired.sheet.valves.size(), 2U);
    const ValveWire& a = wired.sheet.valves[0];
    // 400 ft and 3 ft of slack at both ends, 0.40 A: 406 x 6.510/1000 x 0.40 = 1.057 V each way.
    EXPECT_NEAR(a.length / 0.3048, 406, 1e-9);
    EXPECT_NEAR(a.own_drop, 406 * r * 0.40, 1e-3);
    EXPECT_NEAR(a.common_drop, 406 * r * 0.40, 1e-3);
    EXPECT_NEAR(a.volts, 24 - 2 * 1.0572, 2e-3);
    EXPECT_TRUE(a.enough);
    EXPECT_EQ(a.needs, "18 AWG");
    // 4 V over two wires: 4 / (2 x 0.006510 x 0.40) = 768.0 ft.
    EXPECT_NEAR(wired.sheet.longest / 0.3048, 768.0, 0.2);
}

TEST(Wires, ValvesOfARunShareTheCommonWire) {
    const Wired wired(two_valves("runs = [ { id = \"both\", valves = [\"A\", \"B\"] } ]\n"));
    const ValveWire& b = wired.sheet.valves[1];
    EXPECT_EQ(b.run, 0);
    // B pulls in while A holds: 403 ft of the common wire (with the slack at the controller) carry both.
    const double common = r * (403 * (0.40 + 0.25) + 303 * 0.40);
    EXPECT_NEAR(b.own_drop, 706 * r * 0.40, 1e-3);
    EXPECT_NEAR(b.common_drop, common, 1e-3);
    EXPECT_NEAR(b.volts, 24 - 706 * r * 0.40 - common, 2e-3);
    EXPECT_FALSE(b.enough);  // 19.67 V
    // With AWG 16, 4.094 ohm in 1,000 ft, 0.629 of the drop: 21.28 V.
    EXPECT_EQ(b.needs, "16 AWG");
    EXPECT_EQ(wired.sheet.needs, "16 AWG");
    EXPECT_TRUE(Wired(two_valves("runs = [ { id = \"both\", valves = [\"A\", \"B\"] } ]\n"), "16 AWG")
                    .sheet.valves[1]
                    .enough);
}

TEST(Wires, AMasterValveHoldsInEveryRun) {
    const std::string toml =
        "supplies = [ { id = \"street\", static = 60 } ]\n"
        "devices = [ { id = \"M\", type = \"master\" } ]\n"
        "valves = [ { id = \"A\", cv = 10 } ]\n"
        "nozzles = [ { id = \"n\", pressure = 30, flow = 1 } ]\n"
        "heads = [ { id = \"H\", nozzle = \"n\" } ]\n"
        "pipes = [ { along = \"street 100 M 500 A 10 H\", size = \"pvc-sch40 1\" } ]\n";
    const Wired wired(toml);
    const ValveWire& a = wired.sheet.valves[0];
    EXPECT_NEAR(a.common_drop, r * (103 * (0.40 + 0.25) + 503 * 0.40), 1e-3);
    EXPECT_EQ(wired.system.point_id(wired.sheet.valves[1].point), "M");
    EXPECT_NEAR(wired.sheet.valves[1].common_drop, r * (103 * (0.40 + 0.25) + 3 * 0.40), 1e-3);
}

TEST(Wires, NoWireOfTheTableMayDo) {
    const model::CrewTable weak = model::read_crew_table("controller 20.1 V\n");
    const Wired wired(two_valves(), "18 AWG", weak);
    EXPECT_TRUE(wired.sheet.needs.empty());
    EXPECT_THROW(Wired(two_valves(), "99 AWG"), std::invalid_argument);
}

}  // namespace
}  // namespace evenhead::solver
