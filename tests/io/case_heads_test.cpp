// Nozzles and heads.
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

struct Refusal {
    std::string row;
    Words words;
};

const double psi = 6894.757293168361, gpm = 6.30901964e-5;

model::System system_with_nozzle(const std::string& keys) {
    return system_of(with_line(3, "nozzles = [ { id = \"half\", " + keys + " } ]"));
}

TEST(CaseNozzles, OneRowAndSeveral) {
    const auto one =
        system_with_nozzle(
            "pressure = 30, flow = 1.2, exponent = 0.05, radius = 12, min = 20, design = 30, max = 45")
            .nozzles[0];
    EXPECT_EQ(one.exponent, 0.05);
    EXPECT_NEAR(one.rows[0].at.value, 30 * psi, 1e-6);
    EXPECT_NEAR(one.min->value, 20 * psi, 1e-6);
    EXPECT_NEAR(one.design->value, 30 * psi, 1e-6);
    const auto two =
        system_with_nozzle("pressure = [20, 30], flow = [1.2, \"1.2 gpm +- 5 %\"], radius = 12").nozzles[0];
    ASSERT_EQ(two.radius.size(), 2u);  // one number is the radius at every pressure
    EXPECT_EQ(two.radius[0].value, two.radius[1].value);
    EXPECT_NEAR(two.rows[1].value.deviation, 1.2 * gpm * 0.025, 1e-15);
    EXPECT_EQ(system_with_nozzle("pressure = 30, flow = 1.2, exponent = 0").nozzles[0].exponent, 0);
    EXPECT_EQ(system_with_nozzle("pressure = 30, flow = 1.2, exponent = 1").nozzles[0].exponent, 1);
    EXPECT_FALSE(system_with_nozzle("pressure = 30, flow = \"?\"").nozzles[0].rows[0].value.known());
}

TEST(CaseNozzles, Shape) {
    const auto nozzle =
        system_with_nozzle("pressure = 30, flow = 1.2, shape = [[0, 1], [0.5, 0.8], [1, 0]]").nozzles[0];
    ASSERT_EQ(nozzle.shape.size(), 3u);
    EXPECT_EQ(nozzle.shape[1][0], 0.5);
    EXPECT_EQ(nozzle.shape[1][1], 0.8);
}

TEST(CaseHeads, EveryKey) {
    const auto system = system_of(with_line(
        4,
        "heads = [ { id = \"H1\", nozzle = \"half\", kv = 1.5, set = 30, arc = 180, facing = 270, at_least = "
        "25, "
        "stated_flow = 1.1, stated_pressure = 31, elev = 4, x = 1, y = 2, note = \"by the gate\" } ]"));
    const model::Head& head = system.heads.at(0);
    EXPECT_EQ(head.nozzle, 0);
    EXPECT_EQ(head.joint.kind, model::LossKind::kv);
    EXPECT_EQ(head.joint.coefficient.value, 1.5);
    EXPECT_NEAR(head.set->value, 30 * psi, 1e-6);
    EXPECT_EQ(head.arc->value, 180);
    EXPECT_EQ(head.facing->value, 270);
    EXPECT_NEAR(head.at_least->value, 25 * psi, 1e-6);
    EXPECT_NEAR(head.stated_flow->value, 1.1 * gpm, 1e-15);
    EXPECT_EQ(head.valve, model::none);
}

TEST(CaseHeads, ANozzleMayBeUnknown) {
    EXPECT_EQ(system_of(with_line(4, "heads = [ { id = \"H1\", nozzle = \"?\" } ]")).heads[0].nozzle,
              model::none);
}

TEST(CaseHeads, DefaultsServeRowsThatSayNothing) {
    const auto system = system_of(with_line(4, "heads = [ { id = \"H1\" }, { id = \"H2\", kv = 3 } ]",
                                            "defaults.heads = { nozzle = \"half\", cv = 4 }\n"));
    EXPECT_EQ(system.heads[0].nozzle, 0);
    EXPECT_EQ(system.heads[0].joint.kind, model::LossKind::cv);
    EXPECT_EQ(system.heads[1].joint.kind, model::LossKind::kv);
}

TEST(CaseHeads, OwnValvesFollowTheTableOfValves) {
    const auto system = system_of(with_line(4,
                                            "heads = [ { id = \"H1\", nozzle = \"half\" }, { id = \"V\", "
                                            "nozzle = \"half\", own_valve = { cv = 6, set = 40 } } ]"));
    ASSERT_EQ(system.valves.size(), 2u);
    EXPECT_EQ(system.valves[1].point, system.heads[1].point);
    EXPECT_EQ(system.valves[1].head, 1);
    EXPECT_EQ(system.heads[1].valve, 1);
    EXPECT_NEAR(system.valves[1].set->value, 40 * psi, 1e-6);
    ASSERT_EQ(system.runs.size(), 2u);
    EXPECT_EQ(system.runs[1].id, "V");
    EXPECT_EQ(system.runs[1].valves, std::vector<model::Index>{1});
}

TEST(CaseNozzles, Refusals) {
    const Refusal refusals[] = {
        {R"({ id = "half", pressure = 0, flow = 1 })",
         {R"(3:39: half: pressure = 0 is not above zero | every pressure is above 0)"}},
        {R"({ id = "half", pressure = -3, flow = 1 })",
         {R"(3:39: half: pressure = -3 is not above zero | every pressure is above 0)"}},
        {R"({ id = "half", pressure = 30, flow = 0 })",
         {R"(3:50: half: flow = 0 is not above zero | every flow is above 0)"}},
        {R"({ id = "half", pressure = [30, 20], flow = [1, 2] })",
         {R"(3:44: half: pressure 20 does not rise above 30 | put the rows in order, the smallest pressure first, none twice)"}},
        {R"({ id = "half", pressure = [20, 30], flow = [2, 1] })",
         {R"(3:60: half: flow 1 falls below 2 | flow never falls from row to row)"}},
        {R"({ id = "half", pressure = [20, 30], flow = [1, 2, 3] })",
         {R"(3:56: half: pressure and flow are not of equal length (2 and 3) | give one flow for each pressure)"}},
        {R"({ id = "half", pressure = 30, flow = 1, exponent = 1.5 })",
         {R"(3:64: half: exponent = 1.5 is not from 0 to 1 | 0.5 is an orifice, 0 a constant flow; leave it out for 0.5)"}},
        {R"({ id = "half", pressure = 30, flow = 1, exponent = -0.1 })",
         {R"(3:64: half: exponent = -0.1 is not from 0 to 1 | 0.5 is an orifice, 0 a constant flow; leave it out for 0.5)"}},
        {R"({ id = "half", pressure = [20, 30], flow = [1, 2], exponent = 0.5 })",
         {R"(3:75: half: exponent is given beside several rows | leave exponent out: the rows say how flow follows pressure)"}},
        {R"({ id = "half", pressure = [20, 30], flow = [1, 2], radius = [1, 2, 3] })",
         {R"(3:73: half: pressure and radius are not of equal length (2 and 3) | give one radius for each pressure, or one number for all)"}},
        {R"({ id = "half", pressure = 30, flow = 1, radius = -1 })",
         {R"(3:62: half: radius = -1 is negative | a radius is 0 or more)"}},
        {R"({ id = "half", pressure = 30, flow = 1, min = 40, max = 30 })",
         {R"(3:59: half: min 40 is above max 30 | min is the lowest pressure the nozzle works at, max the highest)"}},
        {R"({ id = "half", pressure = 30 })",
         {R"(3:13: half: flow is missing | pressure and flow go together)"}},
        {R"({ id = "half", flow = 3 })",
         {R"(3:13: half: pressure is missing | pressure and flow go together)"}},
        {R"({ id = "half", pressure = 30, flow = 1, shape = [[0, 1], [0.5]] })",
         {R"(3:70: half: shape is not a list of pairs of numbers | write shape = [[0, 0], [12, 0]])"}},
        {R"({ id = "half", pressure = 30, flow = 1, shape = [[0, 1], [0, 0.5]] })",
         {R"(3:61: half: shape is no fall of water along the radius | write rows of fraction of the radius (rising, 0 to 1) and relative rate (0 or more): [[0, 1], [1, 0]])"}},
        {R"({ id = "half", pressure = 30, flow = 1 }, { id = "half", pressure = 30, flow = 2 })",
         {R"(3:55: half: a nozzle "half" is already given on line 3 | give one of the two another id)"}},
        {R"({ id = "half", pressure = 30, flow = 1, cv = 3 })",
         {R"(3:53: half: a row of nozzles has no key "cv" | its keys are id pressure flow radius exponent min design max shape)"}},
        {R"({ id = "half", pressure = 30, flow = inf })",
         {R"(3:50: half: flow = inf is not a finite number | write a flow such as 12 or "12 gpm")"}},
    };
    for (const auto& [row, words] : refusals)
        EXPECT_EQ(errors_of(with_line(3, "nozzles = [ " + row + " ]")), words) << row;
}

TEST(CaseNozzles, ADesignOutsideItsLimitsIsSuspicious) {
    const Refusal refusals[] = {
        {R"({ id = "half", pressure = 30, flow = 1, min = 20, max = 30, design = 35 })",
         {R"(3:82: half: design is not between min and max | check the three pressures)"}},
    };
    for (const auto& [row, words] : refusals)
        EXPECT_EQ(warnings_of(with_line(3, "nozzles = [ " + row + " ]")), words) << row;
}

TEST(CaseHeads, Refusals) {
    const Refusal refusals[] = {
        {R"({ id = "H1" })",
         {R"(4:11: H1: nozzle is missing | name the head's nozzle ("?" where nobody knows))"}},
        {R"({ id = "H1", nozzle = "haf" })",
         {R"(4:33: H1: nobody defines the nozzle "haf" | did you mean "half"?)"}},
        {R"({ id = "H1", nozzle = 1.5 })",
         {R"(4:33: H1: nozzle = 1.5 is not an id | name a row of nozzles)"}},
        {R"({ id = "H1", nozzle = "half", cv = 3, kv = 4 })",
         {R"(4:54: H1: both cv and kv are given | give one of them)"}},
        {R"({ id = "H1", nozzle = "half", cv = 0 })",
         {R"(4:46: H1: cv = 0 is not above zero | write a number such as 1.5)"}},
        {R"({ id = "H1", nozzle = "half", arc = 400 })",
         {R"(4:47: H1: arc = 400 is more than a full circle | an arc has 1 to 360 degrees)"}},
        {R"({ id = "H1", nozzle = "half", arc = 0 })",
         {R"(4:47: H1: arc = 0 is not above zero | write an angle in degrees such as 90)"}},
        {R"({ id = "H1", nozzle = "half", own_valve = 3 })",
         {R"(4:53: H1: own_valve = 3 gives no valve | own_valve has the keys of a valve, such as own_valve = { cv = 11 })"}},
        {R"({ id = "H1", nozzle = "half", set = 0 })",
         {R"(4:47: H1: set = 0 is not above zero | write a pressure such as 60 or "60 psi")"}},
        {R"({ id = "H1", nozle = "x", nozzle = "half", elef = 3 })",
         {R"(4:24: H1: a row of heads has no key "nozle" | did you mean "nozzle"?)",
          R"(4:54: H1: a row of heads has no key "elef" | did you mean "elev"?)"}},
        {R"({ id = "H1", nozzle = "half" }, { id = "H1", nozzle = "half" })",
         {R"(4:43: H1: the id "H1" is already taken by the head on line 4 | give one of the two another id)"}},
    };
    for (const auto& [row, words] : refusals)
        EXPECT_EQ(errors_of(with_line(4, "heads = [ " + row + " ]")), words) << row;
}

}  // namespace
}  // namespace evenhead::io
