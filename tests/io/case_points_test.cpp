// Points and supplies: ids, places, flow tests. Expected words and places are read off the text of each case
// by hand.
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

TEST(CasePoints, SoundStartIsSound) {
    EXPECT_EQ(errors_of(sound_start), Words());
    EXPECT_EQ(warnings_of(sound_start), Words());
}

TEST(CasePoints, PlaceAndNote) {
    const auto system = system_of(
        with_line(5, "pipes = [ { along = \"street 20 T 1 lawn 30 H1\", size = \"pvc-cl200 1\" } ]",
                  "points = [ { id = \"T\", elev = \"30 m\", x = 3, y = -4, note = \"by the shed\" } ]\n"));
    const model::Point& point = system.points.at(3);
    EXPECT_EQ(point.id, "T");
    EXPECT_EQ(point.kind, model::PointKind::plain);
    EXPECT_DOUBLE_EQ(point.elevation->value, 30);
    EXPECT_DOUBLE_EQ(point.x->value, 3 * 0.3048);
    EXPECT_DOUBLE_EQ(point.y->value, -4 * 0.3048);
    EXPECT_EQ(point.note, "by the shed");
}

TEST(CasePoints, AnIntegerIsTakenAsItsText) {
    const auto system =
        system_of(with_line(5,
                            "pipes = [ { from = \"street\", to = 7, length = 3, size = \"pvc-cl200 1\" }, "
                            "{ along = \"7 20 lawn 30 H1\", size = \"pvc-cl200 1\" } ]"));
    EXPECT_EQ(system.pipe_id(0), "street-7");
    EXPECT_EQ(system.pipes[1].from, system.pipes[0].to);
}

TEST(CasePoints, IdsAreCheckedAndCaseCounts) {
    EXPECT_EQ(
        errors_of(with_line(2, "valves = [ { id = \"lawn\", cv = 11 }, { cv = 4 } ]")),
        Words{"2:38: a row of valves: id is missing | give the row an id of its own, such as id = \"L1\""});
    EXPECT_EQ(errors_of(with_line(2, "valves = [ { id = \"lawn\", cv = 11 }, { id = \"la wn\", cv = 4 } ]")),
              Words{"2:45: la wn: id = \"la wn\" has a blank or an invisible character in it | an id has 1 "
                    "to 64 characters "
                    "and no blanks, such as \"L1\""});
    EXPECT_EQ(errors_of(with_line(2, "valves = [ { id = \"lawn\", cv = 11 }, { id = 1.5, cv = 4 } ]")),
              Words{"2:45: 1.5: id = 1.5 is not an id | put it in quotes: id = \"1.5\""});
    const std::string long_id(65, 'x');
    EXPECT_EQ(errors_of(with_line(2, "valves = [ { id = \"lawn\", cv = 11 }, { id = \"" + long_id +
                                         "\", cv = 4 } ]"))
                  .size(),
              1u);
    EXPECT_EQ(errors_of(with_line(2, "valves = [ { id = \"lawn\", cv = 11 }, { id = \"lawn\", cv = 4 } ]")),
              Words{"2:38: lawn: the id \"lawn\" is already taken by the valve on line 2 | give one of the "
                    "two another id"});
    EXPECT_EQ(errors_of(sound_start + "points = [ { id = \"H1\", elev = 3 } ]\n"),
              Words{"6:12: H1: the id \"H1\" is already taken by the head on line 4 | give elev, x, y or "
                    "note in that row"});
    // 64 characters of two bytes each are still 64 characters.
    std::string wide;
    for (int i = 0; i < 64; ++i) wide += "\xc3\xa9";
    EXPECT_EQ(errors_of(with_line(5,
                                  "pipes = [ { along = \"street 20 lawn 30 H1\", size = \"pvc-cl200 1\" }, "
                                  "{ along = \"H1 1 " +
                                      wide + "\", size = \"pvc-cl200 1\" } ]")),
              Words());
}

TEST(CasePoints, CoordinatesGoTogether) {
    EXPECT_EQ(errors_of(sound_start + "points = [ { id = \"T\", x = 3 } ]\n"),
              Words{"6:12: T: y is missing | x (east) and y (north) go together"});
}

TEST(CaseSupplies, SeveralTests) {
    const auto system = system_of(with_line(
        1, "supplies = [ { id = \"street\", static = 60, flow = [10, 20, 40], residual = [57, 50, 31] } ]"));
    ASSERT_EQ(system.supplies[0].tests.size(), 3u);
    EXPECT_NEAR(system.supplies[0].tests[2].value.value, 31 * 6894.757293168361, 1e-6);
}

TEST(CaseSupplies, WithoutATestThePressureIsAssumedToHold) {
    const auto system = system_of(with_line(1, "supplies = [ { id = \"street\", static = 60 } ]"));
    ASSERT_EQ(system.assumptions.size(), 1u);
    EXPECT_EQ(system.assumptions[0].subject, "street");
    EXPECT_EQ(system.assumptions[0].words, "holds its static pressure at any flow");
    EXPECT_TRUE(system.supplies[0].tests.empty());
}

TEST(CaseSupplies, SpreadsAndUnknowns) {
    const auto system = system_of(with_line(1,
                                            "supplies = [ { id = \"street\", static = \"62 +- 4 psi\", flow "
                                            "= \"10 gal in 146 s\", residual = \"?\" } ]"));
    const model::Supply& supply = system.supplies[0];
    EXPECT_NEAR(supply.static_pressure.deviation, 2 * 6894.757293168361, 1e-6);  // half of 4 psi
    EXPECT_NEAR(supply.tests[0].at.value, 10 * 0.003785411784 / 146, 1e-15);
    EXPECT_FALSE(supply.tests[0].value.known());
}

TEST(CaseSupplies, Refusals) {
    EXPECT_EQ(errors_of(with_line(1, "supplies = []")),
              Words{"1:1: the case: a case without a supply | say where the water comes from: supplies = [ { "
                    "id = \"street\", static = 60 }, ]"});
    EXPECT_EQ(errors_of(with_line(1, "supplies = [ { id = \"street\" } ]")),
              Words{"1:14: street: static is missing | give the pressure at no flow (0 at an open water "
                    "surface, \"?\" where nobody knows)"});
    EXPECT_EQ(errors_of(with_line(1, "supplies = [ { id = \"street\", static = 60, flow = 20 } ]")),
              Words{"1:14: street: residual is missing | flow and residual go together"});
    EXPECT_EQ(
        errors_of(with_line(1, "supplies = [ { id = \"street\", static = 60, flow = 20, residual = 60 } ]")),
        Words{"1:66: street: residual 60 is not below static 60 | the pressure falls when water flows: check "
              "which of the two is which"});
    EXPECT_EQ(
        errors_of(with_line(
            1, "supplies = [ { id = \"street\", static = 60, flow = [10, 20], residual = [50, 55] } ]")),
        Words{"1:77: street: residual 55 does not fall below 50 | residual falls from row to row"});
    EXPECT_EQ(
        errors_of(with_line(
            1, "supplies = [ { id = \"street\", static = 60, flow = [20, 10], residual = [55, 50] } ]")),
        Words{"1:56: street: flow 10 does not rise above 20 | put the rows in order, the smallest flow "
              "first, none twice"});
    EXPECT_EQ(errors_of(with_line(
                  1, "supplies = [ { id = \"street\", static = 60, flow = [10, 20], residual = [55] } ]")),
              Words{"1:72: street: flow and residual are not of equal length (2 and 1) | give one residual "
                    "for each flow"});
    EXPECT_EQ(
        errors_of(with_line(1, "supplies = [ { id = \"street\", static = 60, flow = 0, residual = 55 } ]")),
        Words{"1:51: street: flow = 0 is not above zero | every flow is above 0"});
    EXPECT_EQ(errors_of(with_line(1, "supplies = [ { id = \"street\", static = \"62 gpm\" } ]")),
              Words{"1:40: street: static = \"62 gpm\": gpm measures a flow, not a pressure | write a number "
                    "(it means psi) or a number with its unit: psi, kPa, bar, MPa, mH2O, ftH2O"});
    EXPECT_EQ(
        errors_of(with_line(1, "supplies = [ { id = \"street\", static = inf } ]")),
        Words{
            "1:40: street: static = inf is not a finite number | write a pressure such as 60 or \"60 psi\""});
    EXPECT_EQ(
        errors_of(with_line(1, "supplies = [ { id = \"street\", static = true } ]")),
        Words{"1:40: street: static = true is not a pressure | write a pressure such as 60 or \"60 psi\""});
    EXPECT_EQ(errors_of(with_line(1, "supplies = [ { id = \"street\", statik = 60, static = 60 } ]")),
              Words{"1:31: street: a row of supplies has no key \"statik\" | did you mean \"static\"?"});
}

TEST(CaseSupplies, BelowAtmosphereIsSuspicious) {
    EXPECT_EQ(warnings_of(
                  with_line(1, "supplies = [ { id = \"street\", static = -3, flow = 20, residual = -8 } ]")),
              Words{"1:40: street: the supply is below atmospheric pressure | for open water write static = "
                    "0 and its surface as elev"});
}

}  // namespace
}  // namespace evenhead::io
