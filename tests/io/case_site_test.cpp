// Conditions, readings, things seen, areas, prices and watering.
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

struct Refusal {
    std::string row;
    Words words;
};

const double psi = 6894.757293168361, gpm = 6.30901964e-5;

TEST(CaseConditions, ChangesSayHow) {
    const auto system = system_of(
        sound_start +
        R"(conditions = [ { id = "low", supply = "-8 psi", nozzle = "110 %", c = "90 %", closed = ["lawn-H1"], temperature = "50 degF" },
  { id = "b", supply = "90 %", c = 100, c_by_kind = { pvc-cl200 = 130 } }, { id = "c", supply = "+5 psi" }, { id = "d", supply = -3 } ]
)");
    using How = model::Change::How;
    const auto& low = system.conditions.at(0);
    EXPECT_EQ(low.supply->how, How::add);
    EXPECT_NEAR(low.supply->value, -8 * psi, 1e-6);
    EXPECT_EQ(low.nozzle->how, How::times);
    EXPECT_DOUBLE_EQ(low.nozzle->value, 1.1);
    EXPECT_DOUBLE_EQ(low.c->value, 0.9);
    EXPECT_EQ(low.closed_pipes, std::vector<model::Index>{1});
    EXPECT_NEAR(*low.temperature, 10, 1e-12);
    const auto& b = system.conditions.at(1);
    EXPECT_EQ(b.supply->how, How::times);
    EXPECT_EQ(b.c->how, How::to);
    EXPECT_EQ(b.c->value, 100);
    EXPECT_EQ(b.c_by_kind.at("pvc-cl200"), 130);
    EXPECT_NEAR(system.conditions.at(2).supply->value, 5 * psi, 1e-6);
    EXPECT_NEAR(system.conditions.at(3).supply->value, -3 * psi, 1e-6);
}

TEST(CaseSite, ReadingsHaveTheUsualSpread) {
    const auto system = system_of(
        sound_start +
        R"(readings = [ { run = "lawn", at = "H1", pressure = 34 }, { run = "none", at = "lawn", side = "inlet", pressure = "60 +- 1 psi" },
  { run = "lawn", at = "lawn", flow = 12 }, { run = "lawn", at = "H1", flow = 1, gauge = "riser" } ]
)");
    const auto& readings = system.readings;
    EXPECT_NEAR(readings[0].pressure->deviation, 1 * psi,
                1e-6);  // a spread of 2 psi is two standard deviations
    EXPECT_EQ(readings[0].gauge, model::Gauge::pitot);
    EXPECT_EQ(readings[0].run, 0);
    EXPECT_TRUE(readings[1].all_shut);
    EXPECT_EQ(readings[1].side, model::Side::inlet);
    EXPECT_NEAR(readings[1].pressure->deviation, 0.5 * psi, 1e-6);
    EXPECT_EQ(readings[2].side, model::Side::outlet);
    EXPECT_NEAR(readings[2].flow->deviation, 0.36 * gpm, 1e-15);  // half of 6 % of 12 gpm
    EXPECT_NEAR(readings[3].flow->deviation, 0.1 * gpm, 1e-15);   // at least half of 0.2 gpm
    EXPECT_EQ(readings[3].gauge, model::Gauge::riser);
    const auto metric = system_of("units = \"metric\"\n" + sound_start +
                                  "readings = [ { run = \"lawn\", at = \"H1\", pressure = 240 } ]\n");
    EXPECT_DOUBLE_EQ(metric.readings[0].pressure->deviation, 7000);  // 14 kPa
}

TEST(CaseSite, SeenAreasAndPrices) {
    const auto system = system_of(
        sound_start +
        R"(seen = [ { what = "wet", at = "lawn-H1" }, { what = "handle", at = "lawn", value = "half" }, { what = "head-count", at = "H1", value = 4 } ]
areas = [ { id = "a", valve = "lawn", outline = [[0, 0], [4, 0], [4, "1 m"]] } ]
prices = [ { size = "pvc-cl200 1", price = 0.6 } ]
watering = [ { valve = "lawn", need = 1 } ]
)");
    EXPECT_EQ(system.seen[0].pipe, 1);
    EXPECT_EQ(system.seen[0].point, model::none);
    EXPECT_EQ(system.seen[1].valve, 0);
    EXPECT_EQ(system.seen[1].value, "half");
    EXPECT_EQ(system.seen[2].value, "4");
    EXPECT_DOUBLE_EQ(system.areas[0].outline[2][0], 4 * 0.3048);
    EXPECT_DOUBLE_EQ(system.areas[0].outline[2][1], 1);
    EXPECT_EQ(system.prices[0].size, "pvc-cl200 1");
    EXPECT_DOUBLE_EQ(system.prices[0].price.value, 0.6 / 0.3048);  // per foot in the case, per metre inside
}

TEST(CaseConditions, Refusals) {
    const Refusal refusals[] = {
        {R"(conditions = [ { id = "low", supply = "8 psi" } ])",
         {R"(6:39: low: supply = "8 psi" does not say how it changes | write a change of pressure with its sign ("-8 psi", "+5 psi"), or a share ("90 %"))"}},
        {R"(conditions = [ { id = "low", supply = 8 } ])",
         {R"(6:39: low: supply = 8 does not say how it changes | write a change of pressure with its sign ("-8 psi", "+5 psi"), or a share ("90 %"))"}},
        {R"(conditions = [ { id = "low", supply = "-8 gpm" } ])",
         {R"(6:39: low: supply = "-8 gpm": gpm measures a flow, not a pressure | write a number (it means psi) or a number with its unit: psi, kPa, bar, MPa, mH2O, ftH2O)",
          R"(6:39: low: supply = "-8 gpm" does not say how it changes | write a change of pressure with its sign ("-8 psi", "+5 psi"), or a share ("90 %"))"}},
        {R"(conditions = [ { id = "low", nozzle = 3 } ])",
         {R"(6:39: low: nozzle = 3 does not say how it changes | write a share of the flow ("110 %"))"}},
        {R"(conditions = [ { id = "low", c = "-90 %" } ])",
         {R"(6:34: low: c = "-90 %" does not say how it changes | write a share ("90 %"), or the C that replaces every pipe's (100))"}},
        {R"(conditions = [ { id = "low", closed = ["lawn-H"] } ])",
         {R"(6:39: low: closed names "lawn-H", which is no device and no pipe | did you mean "lawn-H1"?)"}},
        {R"(conditions = [ { id = "low", temperature = 500 } ])",
         {R"(6:44: low: at temperature = 500 water is not liquid | write a temperature from 32 to 212 degF (0 to 100 degC))"}},
        {R"(conditions = [ { id = "low", pumps_off = ["P"] } ])",
         {R"(6:42: low: pumps_off names "P", which is no pump | name devices of type pump)"}},
        {R"(conditions = [ { id = "low", c_by_kind = { pvc-cl20 = 130 } } ])",
         {R"(6:44: low: c_by_kind has no key "pvc-cl20" | did you mean "pvc-cl200"?)"}},
        {R"(conditions = [ { id = "low", c_by_kind = 3 } ])",
         {R"(6:42: low: c_by_kind = 3 names no kinds | write c_by_kind = { steel-sch40 = 90 })"}},
        {R"(conditions = [ { id = "low" }, { id = "low" } ])",
         {R"(6:32: low: a condition "low" is already given on line 6 | give one of the two another id)"}},
        {R"(conditions = [ { supply = "-8 psi" } ])",
         {R"(6:16: a row of conditions: id is missing | give the condition an id of its own, such as id = "dry-summer")"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(errors_of(sound_start + row + "\n"), words) << row;
}

TEST(CaseSite, Refusals) {
    const Refusal refusals[] = {
        {R"(readings = [ { run = "lawm", at = "H1", pressure = 34 } ])",
         {R"(6:22: H1: nobody defines the run "lawm" | did you mean "lawn"?)"}},
        {R"(readings = [ { run = "lawn", at = "H2", pressure = 34 } ])",
         {R"(6:35: H2: nobody defines the point "H2" | did you mean "H1"?)"}},
        {R"(readings = [ { run = "lawn", at = "H1", pressure = 34, flow = 3 } ])",
         {R"(6:63: H1: both pressure and flow are given | write a row for each reading)"}},
        {R"(readings = [ { run = "lawn", at = "H1" } ])",
         {R"(6:14: H1: pressure is missing | give the pressure or the flow that was read)"}},
        {R"(readings = [ { run = "none", at = "H1", pressure = 3, side = "inlet" } ])",
         {R"(6:62: H1: the head "H1" has no sides | side is for valves and devices)"}},
        {R"(readings = [ { at = "lawn", flow = 3 } ])",
         {R"(6:14: lawn: run is missing | name the run that was on ("none": every valve shut))"}},
        {R"(readings = [ { run = "lawn", at = "lawn", flow = "?" } ])",
         {R"(6:50: lawn: a reading whose flow is not known | leave the row out)"}},
        {R"(readings = [ { run = "lawn", at = "lawn", flow = -1 } ])",
         {R"(6:50: lawn: flow = -1 is negative | flow is 0 or more)"}},
        {R"(readings = [ { run = "lawn", at = "H1", pressure = 3, gauge = "water" } ])",
         {R"(6:63: H1: gauge = "water" is not one of its words | write gauge = "pitot" or "riser")"}},
        {R"(seen = [ { what = "wett", at = "H1" } ])",
         {R"(6:19: H1: what = "wett" is nothing that can be seen | did you mean "wet"?)"}},
        {R"(seen = [ { what = "wet", at = "lawn-H2" } ])",
         {R"(6:31: lawn-H2: nobody defines the point or pipe "lawn-H2" | did you mean "lawn-H1"?)"}},
        {R"(seen = [ { } ])",
         {R"(6:10: a row of seen: what is missing | write one of wet head-count nozzle handle dry no-fault)",
          R"(6:10: a row of seen: at is missing | name the point, pipe or valve where it was seen)"}},
        {R"(areas = [ { id = "a", valve = "lawm", outline = [[0, 0], [4, 0], [4, 4]] } ])",
         {R"(6:31: a: nobody defines the valve "lawm" | did you mean "lawn"?)"}},
        {R"(areas = [ { id = "a", valve = "lawn", outline = [[0, 0], [4, 0]] } ])",
         {R"(6:49: a: the outline has fewer than three corners | give at least three)"}},
        {R"(areas = [ { id = "a", valve = "lawn", outline = "x" } ])",
         {R"(6:49: a: outline is not a list of pairs of numbers | write outline = [[0, 0], [12, 0]])"}},
        {R"(areas = [ { valve = "lawn" } ])",
         {R"(6:11: lawn: outline is missing | give the corners: outline = [[0, 0], [40, 0], [40, 30]])",
          R"(6:11: lawn: id is missing | give the area an id of its own)"}},
        {R"(areas = [ { id = "a", valve = "lawn", outline = [[0, 0], [4, 0], [4, 4]] }, { id = "a", valve = "lawn", outline = [[0, 0], [4, 0], [4, 4]] } ])",
         {R"(6:77: a: an area "a" is already given on line 6 | give one of the two another id)"}},
        {R"(watering = [ { valve = "lawm", ned = 1 } ])",
         {R"(6:14: lawm: need is missing | give the depth of water a week, or eto with coefficient)",
          R"(6:24: lawm: nobody defines the valve "lawm" | did you mean "lawn"?)",
          R"(6:32: lawm: a row of watering has no key "ned" | did you mean "need"?)"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(errors_of(sound_start + row + "\n"), words) << row;
}

}  // namespace
}  // namespace evenhead::io
