// Trenches and wires of take-offs, against counts by hand that stand beside them.
#include <gtest/gtest.h>

#include <cmath>

#include "takeoff_sample.hpp"

namespace evenhead::io {
namespace {

using model::TakeoffSection;

TEST(Takeoff, TrenchesSharedSideBySide) {
    // The mainline from 0 to 50 along y = 0. A lateral at y = 0.8 from 20 to 60 lies in its trench for 30 of
    // its 40 ft, and one at y = 1.5 does not lie in the mainline's; where the first has dug (50 to 60) it is
    // 0.7 ft away.
    const std::string text =
        "supplies = [ { id = \"S\", static = 60, x = 0, y = 0 } ]\n"
        "valves = [ { id = \"V\", x = 50, y = 0, cv = 10 } ]\n"
        "nozzles = [ { id = \"n\", pressure = 30, flow = 2 } ]\n"
        "heads = [ { id = \"H\", x = 60, y = 0.8, nozzle = \"n\" }, { id = \"I\", x = 80, y = 1.5, nozzle = "
        "\"n\" }, { id = \"J\", x = 30, y = 9, nozzle = \"n\" } ]\n"
        "points = [ { id = \"P\", x = 20, y = 0.8 }, { id = \"Q\", x = 40, y = 1.5 } ]\n"
        "pipes = [\n" +
        along("S - V", "pvc-sch40 1") + along("V 5 P", "pvc-cl200 1") + along("P - H", "pvc-cl200 1") +
        along("P 3 Q", "pvc-cl200 1") + along("Q - I", "pvc-cl200 1") + along("P - J", "pvc-cl200 1") + "]\n";
    const Counted counted(text);
    EXPECT_NEAR(counted.of(TakeoffSection::trench)["mainline trench, 18 in deep"], 50, 1e-9);
    const auto dug = [&](const std::string& pipe) {
        for (const auto& element : counted.line("lateral trench, 12 in deep").elements)
            if (counted.system.pipe_id(element.index) == pipe) return element.quantity / 0.3048;
        return 0.0;
    };
    EXPECT_NEAR(dug("P-H"), 10, 1e-9);
    EXPECT_NEAR(dug("Q-I"), 30, 1e-9);                   // 40 to 50, 60 to 80
    EXPECT_NEAR(dug("P-J"), std::hypot(10, 8.2), 1e-9);  // it goes another way
    EXPECT_NEAR(dug("V-P"), 0, 1e-9);                    // along the mainline, back from V
    double shared = 0;
    for (const auto& trench : counted.takeoff.shared_trenches) shared += trench.length / 0.3048;
    EXPECT_NEAR(shared, counted.takeoff.shared / 0.3048, 1e-9);
    // Without a width nothing is shared.
    model::TakeoffRules rules = model::takeoff_rules();
    rules.trench_width = {0, 0};
    const Counted narrow(text, rules);
    EXPECT_NEAR(narrow.takeoff.shared, 0, 1e-9);
}

TEST(Takeoff, WiresFromAController) {
    const std::string text =
        "supplies = [ { id = \"S\", static = 60, x = 0, y = 0 } ]\n"
        "valves = [ { id = \"V\", x = 100, y = 0, cv = 10 }, { id = \"W\", x = 50, y = 40, cv = 10 } ]\n"
        "nozzles = [ { id = \"n\", pressure = 30, flow = 2 } ]\n"
        "heads = [ { id = \"H\", nozzle = \"n\" }, { id = \"I\", nozzle = \"n\" } ]\n"
        "devices = [ { id = \"M\", type = \"master\", x = 10, y = 0 }, { id = \"F\", type = "
        "\"flow-sensor\", x = 20, y = 0, cv = 60 } ]\n"
        "pipes = [\n" +
        along("S - M - F - T", "pvc-sch40 1") + along("T - V 9 H", "pvc-sch40 1") +
        along("T - W 9 I", "pvc-sch40 1") + "]\n";
    const std::string points = "points = [ { id = \"T\", x = 50, y = 0 }";
    // At the supply: V 100, W 90, the master valve 10, each with 6 ft of slack; the sensor 20. Common: 50 +
    // 50 + 40, slack at four ends.
    const Counted supply(text + points + " ]\n");
    EXPECT_EQ(supply.of(TakeoffSection::wire), (Counts{{"valve wire 18 AWG", 218},
                                                       {"common wire 18 AWG", 152},
                                                       {"sensor cable", 26},
                                                       {"wire connector", 6}}));
    // 30 ft beside T: V 80, W 70, master 70, sensor 60. Common: 30 + 50 + 40 + 40 and slack at four ends.
    const Counted beside(text + points + ", { id = \"controller\", x = 50, y = -30 } ]\n");
    EXPECT_EQ(beside.of(TakeoffSection::wire), (Counts{{"valve wire 18 AWG", 238},
                                                       {"common wire 18 AWG", 172},
                                                       {"sensor cable", 66},
                                                       {"wire connector", 6}}));
    model::TakeoffOptions options;
    options.controllers = {{model::none, std::array{50 * 0.3048, -30 * 0.3048}}};
    const Counted asked(text + points + " ]\n", model::takeoff_rules(), options);
    EXPECT_EQ(asked.of(TakeoffSection::wire), beside.of(TakeoffSection::wire));
}

}  // namespace
}  // namespace evenhead::io
