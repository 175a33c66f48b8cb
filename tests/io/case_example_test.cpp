// The example of the case format, read to numbers worked out by hand from the definitions: 1 psi =
// 6894.757293168361 Pa, 1 US gpm = 231 in3 / 60 s = 6.30901964e-5 m3/s, 1 ft = 0.3048 m, 1 in = 0.0254 m.
// Bores are the standards' average outside diameter less twice the least wall: ASTM D1785 (Schedule 40), ASTM
// D2241 (Class 200, SDR 21), ASTM B88 (K).
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

const char* const example = R"(title = "Corner garden, two zones"
units = "us"
ground = 100                        # elevation of every point that gives none
limits.velocity = 5

supplies = [
  { id = "street", static = 62, flow = 18, residual = 50 },
]
devices = [
  { id = "meter",    type = "meter",    flow = [10, 20, 30], loss = [1.0, 4.2, 9.5], safe_flow = 30 },
  { id = "backflow", type = "backflow", flow = [0, 10, 20],  loss = [2.5, 4.0, 5.5] },
]
valves = [
  { id = "lawn", cv = 11.5 },
  { id = "beds", cv = 11.5, set = 40 },          # holds its outlet at 40 psi
]
nozzles = [
  { id = "lawn-half", pressure = [20, 30, 40], flow = [0.97, 1.21, 1.38], radius = [10.2, 11.6, 12.7], min = 20, design = 30, max = 45 },
  { id = "bed-turning", pressure = 45, flow = 1.8, radius = 20, min = 30, design = 45, max = 55 },
]
heads = [
  { id = "L2", elev = 102 },
  { id = "B1", nozzle = "bed-turning" },
]
laterals = [
  { id = "L", from = "lawn", first = 30, heads = 4, spacing = 12, nozzle = "lawn-half", sizes = [[2, "pvc-cl200 1"], [2, "pvc-cl200 3/4"]] },
]
pipes = [
  { along = "street 20 meter 10 backflow",     size = "copper-k 1" },
  { along = "backflow 60 T1 5 lawn",           size = "pvc-sch40 1-1/4" },
  { from = "T1",   to = "beds", length = 5,    size = "pvc-sch40 1-1/4" },
  { from = "beds", to = "B1",   length = 40,   size = "pvc-cl200 1", k = 0.9 },
]
)";

constexpr double psi = 6894.757293168361, gpm = 6.30901964e-5, foot = 0.3048, inch = 0.0254;

class Example : public testing::Test {
  protected:
    const CaseReading reading = read_text(example);
    void SetUp() override {
        ASSERT_EQ(in_words(reading.errors, reading), Words());
        ASSERT_TRUE(reading.system);
    }
    const model::System& system() const { return *reading.system; }
    const model::Pipe& pipe(const std::string& id) const {
        for (const model::Pipe& found : system().pipes)
            if (system().pipe_id(found) == id) return found;
        throw std::out_of_range(id);
    }
    const model::Point& point(const std::string& id) const {
        for (const model::Point& found : system().points)
            if (found.id == id) return found;
        throw std::out_of_range(id);
    }
};

TEST_F(Example, Top) {
    EXPECT_EQ(system().title, "Corner garden, two zones");
    EXPECT_EQ(system().units, model::UnitSystem::us);
    EXPECT_NEAR(system().ground->value, 100 * foot, 1e-12);
    EXPECT_NEAR(system().limits.at("velocity").value->value, 1.524, 1e-12);
    EXPECT_EQ(system().friction, model::FrictionLaw::hazen_williams);
    EXPECT_NEAR(system().temperature, (60 - 32) / 1.8, 1e-12);
}

TEST_F(Example, Supply) {
    ASSERT_EQ(system().supplies.size(), 1u);
    const model::Supply& supply = system().supplies[0];
    EXPECT_EQ(system().point_id(supply.point), "street");
    EXPECT_NEAR(supply.static_pressure.value, 427474.9521764384, 1e-6);  // 62 psi
    ASSERT_EQ(supply.tests.size(), 1u);
    EXPECT_NEAR(supply.tests[0].at.value, 0.0011356235352, 1e-15);  // 18 gpm
    EXPECT_NEAR(supply.tests[0].value.value, 50 * psi, 1e-6);
}

TEST_F(Example, Devices) {
    ASSERT_EQ(system().devices.size(), 2u);
    const model::Device& meter = system().devices[0];
    EXPECT_EQ(meter.type, model::DeviceType::meter);
    EXPECT_FALSE(meter.one_way);
    EXPECT_NEAR(meter.safe_flow->value, 30 * gpm, 1e-15);
    ASSERT_EQ(meter.loss.chart.size(), 3u);
    EXPECT_EQ(meter.loss.kind, model::LossKind::chart);
    EXPECT_NEAR(meter.loss.chart[1].at.value, 20 * gpm, 1e-15);
    EXPECT_NEAR(meter.loss.chart[2].value.value, 9.5 * psi, 1e-6);
    const model::Device& backflow = system().devices[1];
    EXPECT_TRUE(backflow.one_way);
    EXPECT_EQ(backflow.loss.chart[0].at.value, 0);
    EXPECT_NEAR(backflow.loss.chart[0].value.value, 2.5 * psi, 1e-6);
}

TEST_F(Example, ValvesAndTheRunsThatFollow) {
    ASSERT_EQ(system().valves.size(), 2u);
    EXPECT_EQ(system().valves[0].loss.kind, model::LossKind::cv);
    EXPECT_EQ(system().valves[0].loss.coefficient.value, 11.5);
    EXPECT_FALSE(system().valves[0].set);
    EXPECT_NEAR(system().valves[1].set->value, 40 * psi, 1e-6);
    ASSERT_EQ(system().runs.size(), 2u);
    EXPECT_EQ(system().runs[0].id, "lawn");
    EXPECT_EQ(system().runs[1].id, "beds");
    EXPECT_EQ(system().runs[1].valves, std::vector<model::Index>{1});
    EXPECT_FALSE(system().runs[0].given);
}

TEST_F(Example, Nozzles) {
    const model::Nozzle& half = system().nozzles[0];
    ASSERT_EQ(half.rows.size(), 3u);
    EXPECT_NEAR(half.rows[0].at.value, 20 * psi, 1e-6);
    EXPECT_NEAR(half.rows[2].value.value, 1.38 * gpm, 1e-15);
    EXPECT_NEAR(half.radius[1].value, 11.6 * foot, 1e-12);
    EXPECT_NEAR(half.max->value, 45 * psi, 1e-6);
    const model::Nozzle& turning = system().nozzles[1];
    EXPECT_EQ(turning.exponent, 0.5);
    EXPECT_EQ(turning.radius.size(), 1u);
}

TEST_F(Example, HeadsOfTheLateralFirstThenTheirOwn) {
    ASSERT_EQ(system().heads.size(), 5u);
    std::string ids;
    for (const model::Head& head : system().heads) ids += system().point_id(head.point) + " ";
    EXPECT_EQ(ids, "L1 L2 L3 L4 B1 ");
    EXPECT_EQ(system().heads[1].nozzle, 0);  // the lateral's, though L2 has a row
    EXPECT_EQ(system().heads[4].nozzle, 1);
    EXPECT_NEAR(point("L2").elevation->value, 102 * foot, 1e-12);
    EXPECT_FALSE(point("L1").elevation);  // the ground's, by the layout
    EXPECT_EQ(point("T1").kind, model::PointKind::plain);
    EXPECT_EQ(point("T1").place.line, 30);
}

TEST_F(Example, PipesFromRowsStretchesAndLaterals) {
    std::string ids;
    for (const model::Pipe& found : system().pipes) ids += system().pipe_id(found) + " ";
    EXPECT_EQ(ids,
              "street-meter meter-backflow backflow-T1 T1-lawn T1-beds beds-B1 lawn-L1 L1-L2 L2-L3 L3-L4 ");
    EXPECT_NEAR(pipe("street-meter").length.value, 20 * foot, 1e-12);
    EXPECT_NEAR(pipe("meter-backflow").size->bore.value, 0.995 * inch, 1e-12);  // 1.125 - 2 x 0.065
    EXPECT_NEAR(pipe("backflow-T1").size->bore.value, 1.380 * inch, 1e-12);     // 1.660 - 2 x 0.140
    EXPECT_NEAR(pipe("T1-lawn").length.value, 5 * foot, 1e-12);
    EXPECT_NEAR(pipe("beds-B1").size->bore.value, 1.189 * inch, 1e-12);  // 1.315 - 2 x 0.063
    EXPECT_EQ(pipe("beds-B1").k.value, 0.9);
    EXPECT_NEAR(pipe("lawn-L1").length.value, 30 * foot, 1e-12);
    EXPECT_NEAR(pipe("L1-L2").length.value, 12 * foot, 1e-12);
    EXPECT_NEAR(pipe("L1-L2").size->bore.value, 1.189 * inch, 1e-12);
    EXPECT_NEAR(pipe("L2-L3").size->bore.value, 0.930 * inch, 1e-12);  // 1.050 - 2 x 0.060
    EXPECT_EQ(pipe("L2-L3").lateral, 0);
    EXPECT_EQ(pipe("T1-beds").lateral, model::none);
    EXPECT_EQ(pipe("T1-beds").size->c.value, 150);
    EXPECT_EQ(system().laterals[0].pipes.size(), 4u);
    EXPECT_EQ(system().laterals[0].heads.size(), 4u);
    EXPECT_EQ(system().point_id(system().laterals[0].from), "lawn");
}

TEST_F(Example, NothingIsAssumedOrSuspicious) {
    EXPECT_TRUE(system().assumptions.empty());
    EXPECT_TRUE(reading.layout.assumptions.empty());
    EXPECT_EQ(in_words(reading.warnings, reading), Words());
}

}  // namespace
}  // namespace evenhead::io
