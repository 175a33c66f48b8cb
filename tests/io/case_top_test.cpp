// What stands at the top of a case, its defaults, limits and runs.
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

struct Refusal {
    std::string row;
    Words words;
};

TEST(CaseTop, EveryKey) {
    const auto system = system_of(
        "title = \"Park\"\njob = \"17\"\ndate = 2026-05-11\nunits = \"metric\"\nshow = [\"bar\", "
        "\"m3/h\"]\nfriction = \"darcy-weisbach\"\n"
        "temperature = \"50 degF\"\nground = 12\norigin = [-97.7, 30.3]\n" +
        sound_start);
    EXPECT_EQ(system.title, "Park");
    EXPECT_EQ(system.job, "17");
    EXPECT_EQ(system.date, "2026-05-11");
    EXPECT_EQ(system.units, model::UnitSystem::metric);
    EXPECT_EQ(system.show, (std::vector<std::string>{"bar", "m3/h"}));
    EXPECT_EQ(system.friction, model::FrictionLaw::darcy_weisbach);
    EXPECT_NEAR(system.temperature, 10, 1e-12);
    EXPECT_EQ(system.ground->value, 12);
    EXPECT_EQ((*system.origin)[0], -97.7);
    EXPECT_EQ((*system.origin)[1], 30.3);
}

TEST(CaseLimits, EveryForm) {
    const auto limits =
        system_of(sound_start +
                  "limits.velocity = 6\nlimits.zone-spread = 15\nlimits.surge = \"20 "
                  "psi\"\nlimits.data-range = \"fail\"\n"
                  "limits.head-pressure = \"10 %\"\nlimits.unfed = \"off\"\nlimits.below-atmosphere = -2\n")
            .limits;
    EXPECT_NEAR(limits.at("velocity").value->value, 6 * 0.3048, 1e-12);
    EXPECT_NEAR(limits.at("zone-spread").value->value, 0.15, 1e-12);  // a bare number is percent
    EXPECT_NEAR(limits.at("head-pressure").value->value, 0.10, 1e-12);
    EXPECT_NEAR(limits.at("surge").value->value, 20 * 6894.757293168361, 1e-6);
    EXPECT_NEAR(limits.at("below-atmosphere").value->value, -2 * 6894.757293168361, 1e-6);
    EXPECT_TRUE(limits.at("data-range").fail);
    EXPECT_TRUE(limits.at("unfed").off);
    EXPECT_EQ(limits.size(), 7u);
}

/// Two valves and a head on each; runs on line 6.
std::string with_runs(const std::string& rows) {
    return "supplies = [ { id = \"street\", static = 60, flow = 20, residual = 50 } ]\n"
           "valves = [ { id = \"lawn\", cv = 11 }, { id = \"beds\", cv = 4 } ]\n"
           "nozzles = [ { id = \"half\", pressure = 30, flow = 1.2 } ]\n"
           "heads = [ { id = \"H1\", nozzle = \"half\" }, { id = \"B1\", nozzle = \"half\" } ]\n"
           "pipes = [ { along = \"street 20 lawn 30 H1\", size = \"pvc-cl200 1\" }, { along = \"street 3 "
           "beds 4 B1\", size = \"pvc-cl200 1\" } ]\n"
           "runs = [ " +
           rows + " ]\n";
}

TEST(CaseRuns, GivenAndByDefault) {
    const auto given =
        system_of(
            with_runs(
                "{ id = \"both\", valves = [\"lawn\", \"beds\"] }, { id = \"one\", valves = \"beds\" }"))
            .runs;
    ASSERT_EQ(given.size(), 2u);
    EXPECT_TRUE(given[0].given);
    EXPECT_EQ(given[0].valves, (std::vector<model::Index>{0, 1}));
    EXPECT_EQ(given[1].valves, (std::vector<model::Index>{1}));
    const auto alone = system_of(with_runs("")).runs;
    ASSERT_EQ(alone.size(), 2u);
    EXPECT_EQ(alone[0].id, "lawn");
    EXPECT_EQ(alone[1].id, "beds");
    std::string text = with_line(2, "");
    const auto all = system_of(text.replace(text.find("20 lawn 30"), 10, "50")).runs;
    ASSERT_EQ(all.size(), 1u);  // without any valve one run: all
    EXPECT_EQ(all[0].id, "all");
    EXPECT_TRUE(all[0].valves.empty());
}

TEST(CaseTop, Refusals) {
    const Refusal refusals[] = {
        {R"(units = "uk")",
         {R"(1:9: the case: units = "uk" is not one of its words | write units = "us" or units = "metric")"}},
        {R"(friction = "darcy")",
         {R"(1:12: the case: friction = "darcy" is not one of its words | write friction = "hazen-williams" or friction = "darcy-weisbach")"}},
        {R"(show = ["bar", "psi"])",
         {R"(1:8: the case: show names "bar" and "psi" for the same thing | keep one of them)"}},
        {R"(show = ["furlong"])",
         {R"(1:8: the case: show names "furlong", which is no unit | the units are psi kPa bar MPa mH2O ftH2O gpm gph L/min L/s m3/h cfs ft in m cm mm ft/s m/s in/h mm/h ft2 m2 degF degC % s min h deg per ft per m)"}},
        {R"(show = ["gmp"])", {R"(1:8: the case: show names "gmp", which is no unit | did you mean "gpm"?)"}},
        {R"(origin = [200, 3])",
         {R"(1:10: the case: origin = a list is not a place on the earth | write [longitude, latitude] in degrees, such as [-97.7, 30.3])"}},
        {R"(origin = 4)",
         {R"(1:10: the case: origin = 4 is not a place on the earth | write [longitude, latitude] in degrees, such as [-97.7, 30.3])"}},
        {R"(temperature = 250)",
         {R"(1:15: the case: at temperature = 250 water is not liquid | write a temperature from 32 to 212 degF (0 to 100 degC))"}},
        {R"(temperature = "?")",
         {R"(1:15: the case: the temperature of the water is needed by every answer | leave temperature out: 60 degF (15.6 degC) is then taken)"}},
        {R"(temperature = nan)",
         {R"(1:15: the case: temperature = nan is not a finite number | write a temperature such as 60 or "60 degF")"}},
        {R"(ground = "3 psi")",
         {R"(1:10: the case: ground = "3 psi": psi measures a pressure, not a length | write a number (it means ft) or a number with its unit: ft, in, m, cm, mm)"}},
        {R"(title = ["a"])", {R"(1:9: the case: title = a list is not a text | write title = "...")"}},
        {R"(pipe = [ {} ])", {R"(1:1: pipe: a case has no key or table "pipe" | did you mean "pipes"?)"}},
        {R"(titel = "x")", {R"(1:1: titel: a case has no key or table "titel" | did you mean "title"?)"}},
        {R"(foo = 3)",
         {R"(1:1: foo: a case has no key or table "foo" | it has title job date units show friction temperature ground origin window defaults limits kinds nozzles supplies devices valves laterals heads points pipes prices runs conditions readings seen areas watering)"}},
        {R"(defaults = 3)",
         {R"(1:12: defaults: defaults = 3 gives no table its keys | write defaults.pipes = { size = "pvc-cl200 1" })"}},
        {R"(defaults.pipe = { size = 3 })",
         {R"(1:10: defaults.pipe: a case has no table "pipe" | did you mean "pipes"?)"}},
        {R"(defaults.pipes = 4)",
         {R"(1:18: defaults.pipes: defaults.pipes = 4 is not a set of keys | write defaults.pipes = { key = value })"}},
        {R"(defaults.heads = { id = "x", nozle = 3 })",
         {R"(1:20: defaults.heads: an id is given as a default | every row has an id of its own)",
          R"(1:30: defaults.heads: a row of heads has no key "nozle" | did you mean "nozzle"?)"}},
        {R"(defaults.heads = { cv = "3 psi" })",
         {R"(1:25: H1: cv = "3 psi": psi measures a pressure, not a plain number | write a number without a unit)"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(errors_of(row + "\n" + sound_start), words) << row;
}

TEST(CaseLimits, Refusals) {
    const Refusal refusals[] = {
        {R"(limits.velocity = "6 psi")",
         {R"(6:19: limits: limits.velocity = "6 psi": psi measures a pressure, not a velocity | write a number (it means ft/s) or a number with its unit: ft/s, m/s)"}},
        {R"(limits.surge = 0)",
         {R"(6:16: limits: limits.surge = 0 is not above zero | to drop the rule write limits.surge = "off")"}},
        {R"(limits.velocity = -1)",
         {R"(6:19: limits: limits.velocity = -1 is not above zero | to drop the rule write limits.velocity = "off")"}},
        {R"(limits.data-range = 4)",
         {R"(6:21: limits: limits.data-range = 4 takes no such value | write limits.data-range = "fail" or "off")"}},
        {R"(limits.data-range = "warn")",
         {R"(6:21: limits: limits.data-range = "warn" takes no such value | write limits.data-range = "fail" or "off")"}},
        {R"(limits.unfed = 3)",
         {R"(6:16: limits: limits.unfed = 3 takes no such value | write limits.unfed = "off", or leave it out)"}},
        {R"(limits.unfed = "fail")",
         {R"(6:16: limits: limits.unfed = "fail" takes no such value | write limits.unfed = "off", or leave it out)"}},
        {R"(limits.velosity = 5)",
         {R"(6:8: limits: limits has no key "velosity" | did you mean "velocity"?)"}},
        {R"(limits.use = "caerful")",
         {R"(6:14: limits: nobody defines the rule set "caerful" | did you mean "careful"?)"}},
        {R"(limits.meter-flow = "?")",
         {R"(6:21: limits: limits.meter-flow cannot be unknown | write a number, or limits.meter-flow = "off")"}},
        {R"(limits.velocity = true)",
         {R"(6:19: limits: limits.velocity = true is not a velocity | write a velocity such as 5 or "5 ft/s")"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(errors_of(sound_start + row + "\n"), words) << row;
}

TEST(CaseLimits, AreATable) {
    const Refusal refusals[] = {
        {R"(limits = 5)", {R"(1:10: limits: limits = 5 names no rule | write limits.velocity = 5)"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(errors_of(row + "\n" + sound_start), words) << row;
}

TEST(CaseLimits, ABareFractionIsSuspicious) {
    const Refusal refusals[] = {
        {R"(limits.zone-spread = 0.2)",
         {R"(6:22: limits: zone-spread = 0.2 is less than one percent | a bare number is percent: for a tenth write zone-spread = "10 %")"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(warnings_of(sound_start + row + "\n"), words) << row;
}

TEST(CaseRuns, Refusals) {
    const Refusal refusals[] = {
        {R"({ id = "both", valves = ["lawn", "bed"] })",
         {R"(6:34: both: nobody defines the valve "bed" | did you mean "beds"?)"}},
        {R"({ id = "all", valves = "lawn beds" })",
         {R"(6:17: all: the id "all" is reserved | give the run another id)"}},
        {R"({ id = "none", valves = "lawn" })",
         {R"(6:17: none: the id "none" is reserved | give the run another id)"}},
        {R"({ valves = ["lawn"] })",
         {R"(6:10: a row of runs: id is missing | give the run an id of its own, such as id = "night")"}},
        {R"({ id = "x", valves = ["H1"] })",
         {R"(6:31: x: "H1" is a head, not a valve | a run names rows of valves, or heads with own_valve)"}},
        {R"({ id = "x" })", {R"(6:10: x: valves is missing | name the valves that are open at once)"}},
        {R"({ id = "x", valves = "lawn" }, { id = "x", valves = "beds" })",
         {R"(6:41: x: a run "x" is already given on line 6 | give one of the two another id)"}},
        {R"({ id = "x", valve = "lawn", valves = "lawn" })",
         {R"(6:22: x: a row of runs has no key "valve" | did you mean "valves"?)"}},
        {R"({ id = "x", valves = ["lawn", 3] })",
         {R"(6:31: x: nobody defines the valve "3" | a run names rows of valves)"}},
        {R"({ id = "x", valves = true })",
         {R"(6:31: x: valves = true is not an id | an id is a text without blanks, such as "L1")"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(errors_of(with_runs(row)), words) << row;
}

TEST(CaseRuns, TwiceTheSameValveIsSuspicious) {
    const Refusal refusals[] = {
        {R"({ id = "x", valves = "lawn lawn" })",
         {R"(6:31: x: the valve "lawn" is named twice | once is enough)"}},
        {R"({ id = "x", valves = [] })",
         {R"(6:31: x: the run opens no valve | name at least one valve; only heads upstream of every valve water in it)"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(warnings_of(with_runs(row)), words) << row;
}

}  // namespace
}  // namespace evenhead::io
