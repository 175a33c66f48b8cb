// What runs out at shut-off, by hand. A foot of Class 200 pipe of 1 in (ASTM D2241: 1.315 - 2 x 0.063 = 1.189
// in) holds pi/4 x 1.189^2 x 12 / 231 = 0.05768 gal.
#include "solver/crew/drainage.hpp"

#include <gtest/gtest.h>

#include "tests/io/case_folder.hpp"

namespace evenhead::solver {
namespace {

constexpr double gallon = 0.003785411784;
constexpr double per_foot = 0.0576825;  // gal

/// A valve, and what is behind it.
struct Behind {
    model::System system;
    model::Layout layout;
    Drainage found;
    explicit Behind(const std::string& points, const std::string& pipes)
        : system(io::system_of("ground = 0\n"
                               "supplies = [ { id = \"S\", static = 60 } ]\n"
                               "nozzles = [ { id = \"n\", pressure = 30, flow = 1 } ]\n" +
                               points + "pipes = [\n  { along = \"S 10 V\", size = \"pvc-sch40 1\" },\n" +
                               pipes + "]\n")),
          layout(model::find_layout(system)),
          found(drainage(system, layout)) {}
    std::string heads(std::size_t part) const {
        std::string ids;
        for (const Index head : found.parts.at(part).heads)
            ids += system.point_id(system.heads[static_cast<std::size_t>(head)].point) + " ";
        return ids;
    }
    double gallons(std::size_t part) const { return found.parts.at(part).volume / gallon; }
};

const std::string valve = "valves = [ { id = \"V\", cv = 10, elev = 6 } ]\n";

TEST(Drainage, PipeAboveTheLowestHeadRunsOut) {
    // The valve at 6 ft, H at 4, I at 1: all of both pipes lies above I.
    const Behind zone(valve +
                          "heads = [ { id = \"H\", nozzle = \"n\", elev = 4 }, { id = \"I\", nozzle = \"n\", "
                          "elev = 1 } ]\n",
                      "  { along = \"V 20 H 30 I\", size = \"pvc-cl200 1\" },\n");
    ASSERT_EQ(zone.found.parts.size(), 1U);
    EXPECT_EQ(zone.heads(0), "I ");
    EXPECT_NEAR(zone.gallons(0), 50 * per_foot, 1e-3);
    EXPECT_NEAR(zone.found.parts[0].column / 0.3048, 5, 1e-9);
}

TEST(Drainage, OfAPipeThatDipsOnlyWhatIsAboveTheLevel) {
    // V 6 ft - P 0 ft - I 2 ft: of V-P (60 ft long) two thirds lie above 2 ft, of P-I nothing.
    const Behind zone(
        valve +
            "heads = [ { id = \"I\", nozzle = \"n\", elev = 2 } ]\npoints = [ { id = \"P\", elev = 0 } ]\n",
        "  { along = \"V 60 P 30 I\", size = \"pvc-cl200 1\" },\n");
    ASSERT_EQ(zone.found.parts.size(), 1U);
    EXPECT_NEAR(zone.gallons(0), 40 * per_foot, 1e-3);
}

TEST(Drainage, ALevelZoneKeepsItsWater) {
    const Behind zone(
        "valves = [ { id = \"V\", cv = 10 } ]\nheads = [ { id = \"H\", nozzle = \"n\" }, { id = \"I\", "
        "nozzle = \"n\" } ]\n",
        "  { along = \"V 20 H 30 I\", size = \"pvc-cl200 1\" },\n");
    EXPECT_TRUE(zone.found.parts.empty());
    EXPECT_EQ(zone.found.without_drain.size(), 1U);
}

TEST(Drainage, ACheckValveHoldsBackTheColumnThatItTakesToOpen) {
    // The check before I opens at 1.3 psi: 3.0 ft of water. What is upstream drains to 1 + 3.0 ft, so V-H (6
    // to 4 ft) runs out, and of H-C (4 to 1 ft) nothing.
    const std::string heads =
        "heads = [ { id = \"H\", nozzle = \"n\", elev = 4.5 }, { id = \"I\", nozzle = \"n\", elev = 1 } ]\n";
    const Behind zone(
        valve + heads +
            "devices = [ { id = \"C\", type = \"check\", elev = 1, flow = [0, 5], loss = [1.3, 2] } ]\n",
        "  { along = \"V 20 H 30 C 1 I\", size = \"pvc-cl200 1\" },\n");
    ASSERT_EQ(zone.found.parts.size(), 1U);
    EXPECT_EQ(zone.heads(0), "I ");
    EXPECT_TRUE(zone.found.parts[0].held);
    // 1.3 psi at 60 degF: 1.3 x 2.31 = 3.003 ft; (4.5 - 4.003)/3.5 of 30 ft.
    EXPECT_NEAR(zone.gallons(0), (20 + 30 * 0.497 / 3.5) * per_foot, 5e-3);
    // One that opens at 4 psi holds all of it: H is then the lowest way out.
    const Behind held(
        valve + heads +
            "devices = [ { id = \"C\", type = \"check\", elev = 1, flow = [0, 5], loss = [4, 5] } ]\n",
        "  { along = \"V 20 H 30 C 1 I\", size = \"pvc-cl200 1\" },\n");
    ASSERT_EQ(held.found.parts.size(), 1U);
    EXPECT_EQ(held.heads(0), "H ");
    EXPECT_NEAR(held.gallons(0), 20 * per_foot, 1e-3);
}

TEST(Drainage, WaterDoesNotRunBackThroughACheckValve) {
    // I stands high behind the check; H before it is low. What is behind the check drains nowhere.
    const Behind zone(
        "valves = [ { id = \"V\", cv = 10, elev = 0 } ]\n"
        "heads = [ { id = \"H\", nozzle = \"n\", elev = 0 }, { id = \"I\", nozzle = \"n\", elev = 9 } ]\n"
        "devices = [ { id = \"C\", type = \"check\", elev = 0 } ]\n",
        "  { along = \"V 20 H 30 C 40 I\", size = \"pvc-cl200 1\" },\n");
    EXPECT_TRUE(zone.found.parts.empty());
}

TEST(Winter, ZonesTheHighestFirstAndTheMainlineLast) {
    const model::System system = io::system_of(
        "ground = 0\nsupplies = [ { id = \"S\", static = 60 } ]\n"
        "valves = [ { id = \"A\", cv = 10 }, { id = \"B\", cv = 10 } ]\n"
        "nozzles = [ { id = \"n\", pressure = 30, flow = 1 } ]\n"
        "heads = [ { id = \"H\", nozzle = \"n\" }, { id = \"I\", nozzle = \"n\", elev = 8 } ]\n"
        "points = [ { id = \"low\", elev = -3 } ]\n"
        "pipes = [ { along = \"S 10 low 10 A\", size = \"pvc-sch40 1\" }, { along = \"low 5 B\", size = "
        "\"pvc-sch40 1\" },\n"
        "  { along = \"A 100 H\", size = \"pvc-cl200 1\" }, { along = \"B 100 I\", size = \"pe-sidr19 1\" } "
        "]\n");
    const auto parts = winter_order(system, model::find_layout(system));
    ASSERT_EQ(parts.size(), 3U);
    EXPECT_EQ(parts[0].valve, 1);
    EXPECT_EQ(parts[0].weakest, model::Material::polyethylene);
    EXPECT_EQ(parts[1].valve, 0);
    EXPECT_EQ(parts[2].valve, model::none);
    EXPECT_NEAR(parts[1].volume / gallon, 100 * per_foot, 1e-3);
    ASSERT_EQ(parts[2].lowest.size(), 1U);
    EXPECT_EQ(system.point_id(parts[2].lowest[0]), "low");
    EXPECT_TRUE(parts[1].lowest.empty());  // level
    ASSERT_EQ(parts[0].lowest.size(), 1U);
    EXPECT_EQ(system.point_id(parts[0].lowest[0]), "B");
}

}  // namespace
}  // namespace evenhead::solver
