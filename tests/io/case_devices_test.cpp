// Devices and valves: how a loss is given, and what is refused.
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

struct Refusal {
    std::string row;
    Words words;
};

const double psi = 6894.757293168361, gpm = 6.30901964e-5;

/// The sound start with a device between the supply and the valve.
std::string with_device(const std::string& row) {
    return with_line(5, "pipes = [ { along = \"street 5 dev 20 lawn 30 H1\", size = \"pvc-cl200 1\" } ]",
                     "devices = [ " + row + " ]\n");
}

model::System system_with_device(const std::string& keys) {
    return system_of(with_device("{ id = \"dev\", " + keys + " }"));
}

TEST(CaseDevices, EveryWayToGiveALoss) {
    using model::LossKind;
    const auto loss = [](const std::string& keys) {
        return system_with_device("type = \"filter\", " + keys).devices.at(0).loss;
    };
    EXPECT_EQ(loss("cv = 12").kind, LossKind::cv);
    EXPECT_EQ(loss("cv = 12").coefficient.value, 12);
    EXPECT_EQ(loss("kv = \"10 +- 5 %\"").kind, LossKind::kv);
    EXPECT_DOUBLE_EQ(loss("kv = \"10 +- 5 %\"").coefficient.deviation, 0.25);  // half of 5 % of 10
    EXPECT_EQ(loss("k = 2.5, bore = 1.5").kind, LossKind::k);
    EXPECT_DOUBLE_EQ(loss("k = 2.5, bore = 1.5").bore.value, 1.5 * 0.0254);
    EXPECT_EQ(loss("k = 0, bore = 1.5").kind, LossKind::lossless);
    EXPECT_EQ(loss("flow = 10, loss = 0").kind, LossKind::lossless);
    const auto chart = loss("flow = [0, \"10 gpm\"], loss = [1, \"0.5 bar\"]");
    EXPECT_EQ(chart.kind, LossKind::chart);
    ASSERT_EQ(chart.chart.size(), 2u);
    EXPECT_NEAR(chart.chart[1].at.value, 10 * gpm, 1e-15);
    EXPECT_NEAR(chart.chart[1].value.value, 50000, 1e-9);
    EXPECT_EQ(loss("flow = 10, loss = 2").chart.size(), 1u);  // one number is a chart of one row
    EXPECT_FALSE(loss("cv = \"?\"").coefficient.known());
}

TEST(CaseDevices, BySizeAloneTheUsualLossIsAssumed) {
    const auto system = system_with_device("type = \"meter\", size = \"3/4\"");
    EXPECT_TRUE(system.devices[0].loss.generic);
    EXPECT_EQ(system.devices[0].size, "3/4");
    ASSERT_EQ(system.assumptions.size(), 1u);
    EXPECT_EQ(system.assumptions[0].subject, "dev");
    EXPECT_EQ(system.assumptions[0].words, "usual loss of a 3/4 in meter");
    EXPECT_NE(system.assumptions[0].why, "");
}

TEST(CaseDevices, WhatLosesNothingIsAssumedTo) {
    for (const std::string type : {"gate", "check", "master"}) {
        const auto system = system_with_device("type = \"" + type + "\"");
        EXPECT_EQ(system.devices[0].loss.kind, model::LossKind::lossless);
        ASSERT_EQ(system.assumptions.size(), 1u) << type;
        EXPECT_EQ(system.assumptions[0].what, "loss");
        EXPECT_EQ(system.assumptions[0].number, 0);
    }
    EXPECT_EQ(system_with_device("type = \"regulator\", set = 40").assumptions.size(), 1u);
}

TEST(CaseDevices, OneWayByType) {
    const auto one_way = [](const std::string& keys) {
        return system_with_device(keys).devices.at(0).one_way;
    };
    EXPECT_TRUE(one_way("type = \"backflow\", cv = 20"));
    EXPECT_TRUE(one_way("type = \"regulator\", cv = 20, set = 40"));
    EXPECT_TRUE(one_way("type = \"check\""));
    EXPECT_TRUE(one_way("type = \"pump\", flow = [0, 20], rise = [30, 20]"));
    for (const std::string type :
         {"meter", "filter", "gate", "master", "flow-sensor", "quick-coupler", "other"})
        EXPECT_FALSE(one_way("type = \"" + type + "\", cv = 20")) << type;
    EXPECT_FALSE(one_way("type = \"backflow\", cv = 20, one_way = false"));
    EXPECT_TRUE(one_way("type = \"meter\", cv = 20, one_way = true"));
}

TEST(CaseDevices, PumpSetClosedAndSafeFlow) {
    const auto pump = system_with_device(
                          "type = \"pump\", flow = [0, 20, 30], rise = [40, 40, 25], set = 70, closed = true")
                          .devices[0];
    EXPECT_EQ(pump.type, model::DeviceType::pump);
    ASSERT_EQ(pump.rise.size(), 3u);
    EXPECT_NEAR(pump.rise[2].value.value, 25 * psi, 1e-6);
    EXPECT_NEAR(pump.set->value, 70 * psi, 1e-6);
    EXPECT_TRUE(pump.closed);
    EXPECT_FALSE(
        system_with_device("type = \"meter\", cv = 9, safe_flow = \"?\"").devices[0].safe_flow->known());
}

TEST(CaseDevices, MetricBareNumbers) {
    const auto system =
        system_of("units = \"metric\"\n" +
                  with_device("{ id = \"dev\", type = \"filter\", flow = 60, loss = 30, elev = 2 }"));
    EXPECT_DOUBLE_EQ(system.devices[0].loss.chart[0].at.value, 0.001);     // 60 L/min
    EXPECT_DOUBLE_EQ(system.devices[0].loss.chart[0].value.value, 30000);  // 30 kPa
    EXPECT_DOUBLE_EQ(system.points.at(static_cast<std::size_t>(system.devices[0].point)).elevation->value, 2);
    EXPECT_DOUBLE_EQ(system.pipes[0].length.value, 5);
}

TEST(CaseDevices, ARowHidesOtherWaysOfTheDefaults) {
    const auto system = system_of(with_device("{ id = \"dev\", type = \"filter\", kv = 5 }") +
                                  "defaults.devices = { cv = 9, safe_flow = 20 }\n");
    EXPECT_EQ(system.devices[0].loss.kind, model::LossKind::kv);
    EXPECT_NEAR(system.devices[0].safe_flow->value, 20 * gpm, 1e-15);
}

TEST(CaseValves, SetSizeAndWhatADrawingStates) {
    const auto system = system_of(with_line(
        2, "valves = [ { id = \"lawn\", size = 1, set = 35, stated_flow = 12, stated_pressure = 41 } ]"));
    const model::Valve& valve = system.valves.at(0);
    EXPECT_TRUE(valve.loss.generic);
    EXPECT_EQ(valve.size, "1");
    EXPECT_NEAR(valve.set->value, 35 * psi, 1e-6);
    EXPECT_NEAR(valve.stated_flow->value, 12 * gpm, 1e-15);
    EXPECT_NEAR(valve.stated_pressure->value, 41 * psi, 1e-6);
    EXPECT_EQ(valve.head, model::none);
}

TEST(CaseDevices, Refusals) {
    const Refusal refusals[] = {
        {R"({ id = "dev", type = "metre", size = 1 })",
         {R"(6:34: dev: type = "metre" is no type of device | did you mean "meter"?)"}},
        {R"({ id = "dev", type = "meter" })",
         {R"(6:13: dev: what the meter loses is not given | give one of cv, kv, k with bore, flow with loss, or size)"}},
        {R"({ id = "dev", type = "backflow" })",
         {R"(6:13: dev: what the backflow loses is not given | give one of cv, kv, k with bore, flow with loss, or size)"}},
        {R"({ id = "dev", type = "filter" })",
         {R"(6:13: dev: what the filter loses is not given | give one of cv, kv, k with bore, flow with loss, or size)"}},
        {R"({ id = "dev", type = "meter", size = 7 })",
         {R"(6:50: dev: there is no usual loss for a meter of size "7" | take a size of 5/8 3/4 1 1-1/2 2 3 4, or give one of cv, kv, k with bore, or flow with loss)"}},
        {R"({ id = "dev", type = "other", size = 1 })",
         {R"(6:50: dev: there is no usual loss for type "other" by size alone | give one of cv, kv, k with bore, or flow with loss)"}},
        {R"({ id = "dev", cv = 4 })",
         {R"(6:13: dev: type is missing | write one of meter backflow filter regulator check gate pump master flow-sensor quick-coupler other)"}},
        {R"({ id = "dev", type = "filter", cv = 0 })",
         {R"(6:49: dev: cv = 0 is not above zero | write a number such as 1.5)"}},
        {R"({ id = "dev", type = "filter", kv = -1 })",
         {R"(6:49: dev: kv = -1 is not above zero | write a number such as 1.5)"}},
        {R"({ id = "dev", type = "filter", cv = 3, kv = 4 })",
         {R"(6:57: dev: both cv and kv are given | give one of cv, kv, k with bore, flow with loss, or size)"}},
        {R"({ id = "dev", type = "filter", k = 3 })",
         {R"(6:48: dev: k is given without the bore it stands on | give the bore as well)"}},
        {R"({ id = "dev", type = "filter", k = 3, bore = 0 })",
         {R"(6:58: dev: bore = 0 is not above zero | write a bore such as 1.05 or "1.05 in")"}},
        {R"({ id = "dev", type = "filter", k = -3, bore = 1 })",
         {R"(6:48: dev: k = -3 is negative | k is 0 or more)"}},
        {R"({ id = "dev", type = "filter", bore = 1, cv = 3 })",
         {R"(6:51: dev: bore is given without k | bore goes with k only)"}},
        {R"({ id = "dev", type = "filter", loss = 3 })",
         {R"(6:13: dev: flow is missing | flow and loss go together)"}},
        {R"({ id = "dev", type = "filter", flow = 3 })",
         {R"(6:13: dev: loss is missing | flow and loss go together)"}},
        {R"({ id = "dev", type = "filter", flow = [0, 5, 3], loss = [1, 2, 3] })",
         {R"(6:58: dev: flow 3 does not rise above 5 | put the rows in order, the smallest flow first, none twice)"}},
        {R"({ id = "dev", type = "filter", flow = [5, 5], loss = [1, 2] })",
         {R"(6:55: dev: flow 5 does not rise above 5 | put the rows in order, the smallest flow first, none twice)"}},
        {R"({ id = "dev", type = "filter", flow = [1, 5, 7], loss = [3, 2] })",
         {R"(6:69: dev: flow and loss are not of equal length (3 and 2) | give one loss for each flow)"}},
        {R"({ id = "dev", type = "filter", flow = [], loss = [] })",
         {R"(6:51: dev: the chart has no rows | give at least one flow and loss)"}},
        {R"({ id = "dev", type = "filter", flow = [1, 5], loss = [3, nan] })",
         {R"(6:70: dev: loss = nan is not a finite number | write a pressure such as 60 or "60 psi")"}},
        {R"({ id = "dev", type = "filter", flow = [-1, 5], loss = [3, 4] })",
         {R"(6:52: dev: flow = -1 is negative | flow is 0 or more)"}},
        {R"({ id = "dev", type = "filter", flow = [1, 5], loss = [-3, 4] })",
         {R"(6:67: dev: loss = -3 is negative | loss is 0 or more)"}},
        {R"({ id = "dev", type = "filter", flow = 0, loss = 2 })",
         {R"(6:51: dev: the only row of the chart is at no flow | give a row with a flow above 0)"}},
        {R"({ id = "dev", type = "pump", flow = [0, 10], rise = [30, 31] })",
         {R"(6:70: dev: rise 31 rises above 30 | rise never rises from row to row)"}},
        {R"({ id = "dev", type = "pump", size = 1 })",
         {R"(6:13: dev: flow is missing | flow and rise go together)"}},
        {R"({ id = "dev", type = "pump", cv = 3 })",
         {R"(6:13: dev: flow is missing | flow and rise go together)",
          R"(6:47: dev: a pump has no cv | a pump takes flow with rise)"}},
        {R"({ id = "dev", type = "filter", cv = 4, rise = 4 })",
         {R"(6:59: dev: a filter has no rise | only a pump lifts the pressure)"}},
        {R"({ id = "dev", type = "meter", cv = 4, safe_flow = 0 })",
         {R"(6:63: dev: safe_flow = 0 is not above zero | write a flow such as 12 or "12 gpm")"}},
        {R"({ id = "dev", type = "meter", cv = 4, closed = "yes" })",
         {R"(6:60: dev: closed = "yes" is neither true nor false | write closed = true or closed = false, without quotes)"}},
        {R"({ id = "dev", type = "meter", size = 2026-04-03 })",
         {R"(6:50: dev: size = 2026-04-03 is a date, not a size | write the size again, in quotes: size = "3/4")"}},
        {R"({ id = "dev", type = "meter", cv = 4, saf_flow = 3 })",
         {R"(6:51: dev: a row of devices has no key "saf_flow" | did you mean "safe_flow"?)"}},
        {R"({ id = "dev", type = "filter", cv = 4, set = 0 })",
         {R"(6:58: dev: set = 0 is not above zero | write a pressure such as 60 or "60 psi")"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(errors_of(with_device(row)), words) << row;
}

TEST(CaseDevices, ADipIsSuspicious) {
    const Refusal refusals[] = {
        {R"({ id = "dev", type = "filter", flow = [1, 5, 7], loss = [3, 2, 4] })",
         {R"(6:69: dev: the loss falls where the flow rises; it is read as the highest loss so far | check the chart: a loss that falls with more flow is rare)"}},
        {R"({ id = "dev", type = "regulator", cv = 4 })",
         {R"(6:13: dev: a regulator without set regulates nothing | give the outlet pressure that it holds ("?" where nobody knows))"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(warnings_of(with_device(row)), words) << row;
}

TEST(CaseValves, Refusals) {
    const Refusal refusals[] = {
        {R"({ id = "lawn" })",
         {R"(2:12: lawn: what the valve loses is not given | give one of cv, kv, k with bore, flow with loss, or size)"}},
        {R"({ id = "lawn", set = 40 })",
         {R"(2:12: lawn: what the valve loses is not given | give one of cv, kv, k with bore, flow with loss, or size)"}},
        {R"({ id = "lawn", size = "9" })",
         {R"(2:34: lawn: there is no usual loss for a valve of size "9" | take a size of 3/4 1 1-1/4 1-1/2 2 2-1/2 3 4, or give one of cv, kv, k with bore, or flow with loss)"}},
        {R"({ id = "lawn", cv = 4, rise = 3 })",
         {R"(2:35: lawn: a row of valves has no key "rise" | did you mean "size"?)"}},
        {R"({ id = "lawn", cv = 3, set = "2 gpm" })",
         {R"(2:41: lawn: set = "2 gpm": gpm measures a flow, not a pressure | write a number (it means psi) or a number with its unit: psi, kPa, bar, MPa, mH2O, ftH2O)"}},
        {R"({ id = "lawn", cv = 4 }, { id = "none", cv = 4 })",
         {R"(2:37: none: "none" is no id for a valve | none and all are reserved for runs)",
          R"(2:37: none: valve "none" is on no pipe | run a pipe to it (`to`) and a pipe from it (`from`))"}},
        {R"({ id = "lawn", cv = "4 gpm" })",
         {R"(2:32: lawn: cv = "4 gpm": gpm measures a flow, not a plain number | write a number without a unit)"}},
    };
    for (const auto& [row, words] : refusals)
        EXPECT_EQ(errors_of(with_line(2, "valves = [ " + row + " ]")), words) << row;
}

}  // namespace
}  // namespace evenhead::io
