// The table of the crew's sheets against its sources.
#include "model/crew_table.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace evenhead::model {
namespace {

/// Ohm per 1,000 ft.
double per_1000_ft(double per_metre) {
    return per_metre * 304.8;
}

// ASTM B258: the diameter of AWG n is 0.005 in x 92^((36 - n)/39). IEC 60028: 1/58 ohm mm2/m at 20 degC.
TEST(CrewTable, WireHasTheResistanceThatItsDiameterGives) {
    for (const auto& [name, number] : {std::pair{"18 AWG", 18},
                                       {"16 AWG", 16},
                                       {"14 AWG", 14},
                                       {"12 AWG", 12},
                                       {"10 AWG", 10},
                                       {"8 AWG", 8}}) {
        const WireGauge* wire = crew_table().find(name);
        ASSERT_NE(wire, nullptr) << name;
        const double diameter = 0.127 * std::pow(92.0, (36.0 - number) / 39);  // mm
        const double expected = 1 / 58.0 / (std::numbers::pi / 4 * diameter * diameter);
        EXPECT_NEAR(wire->resistance / expected, 1, 1e-3) << name;
    }
}

// National Bureau of Standards, Copper Wire Tables (Circular 31, 4th edition, 1956), column at 25 degC, ohms
// per 1,000 ft: AWG 18 6.510, 16 4.094, 14 2.575, 12 1.619, 10 1.018.
TEST(CrewTable, WireInWarmGroundHasThePublishedResistance) {
    const CrewTable& table = crew_table();
    EXPECT_EQ(table.ground_temperature, 25);
    for (const auto& [name, ohm] : {std::pair{"18 AWG", 6.510},
                                    {"16 AWG", 4.094},
                                    {"14 AWG", 2.575},
                                    {"12 AWG", 1.619},
                                    {"10 AWG", 1.018}})
        EXPECT_NEAR(per_1000_ft(table.resistance_of(*table.find(name))), ohm, 0.001) << name;
}

// National Electrical Code (NFPA 70), chapter 9, table 8: solid uncoated copper at 75 degC, ohms per 1,000
// ft.
TEST(CrewTable, WireHasTheResistanceOfTheElectricalCodeAtItsTemperature) {
    const CrewTable& table = crew_table();
    for (const auto& [name, ohm] : {std::pair{"18 AWG", 7.77},
                                    {"16 AWG", 4.89},
                                    {"14 AWG", 3.07},
                                    {"12 AWG", 1.93},
                                    {"10 AWG", 1.21},
                                    {"8 AWG", 0.764}}) {
        const double warm = table.find(name)->resistance * (1 + table.per_degree * (75 - 20));
        EXPECT_NEAR(per_1000_ft(warm) / ohm, 1, 0.005) << name;
    }
}

// A conductor of nominal area has no more than the resistance that IEC 60228 allows it (class 1, 20 degC).
TEST(CrewTable, MetricWireHasNoLessThanItsCopper) {
    for (const auto& [name, area] :
         {std::pair{"1 mm2", 1.0}, {"1.5 mm2", 1.5}, {"2.5 mm2", 2.5}, {"4 mm2", 4.0}, {"6 mm2", 6.0}}) {
        const double ratio = crew_table().find(name)->resistance * 58 * area;
        EXPECT_GT(ratio, 1.0) << name;
        EXPECT_LT(ratio, 1.08) << name;
    }
    for (const auto& [name, area] : {std::pair{"0.8 mm2", 0.8}, {"2 mm2", 2.0}})
        EXPECT_NEAR(crew_table().find(name)->resistance * 58 * area, 1, 1e-3) << name;
}

TEST(CrewTable, RowsOfATableOfOnesOwnTakeThePlaceOfTheShipped) {
    const CrewTable table = read_crew_table(
        "wire us 2.525 ohm/1000ft 14 AWG solid\ncontroller 26.5 V\nsolenoid inrush 0.3 A\nflow high 115 % "
        "measured\n"
        "air pvc 3 bar the supplier\n");
    EXPECT_EQ(table.find("18 AWG"), nullptr);
    EXPECT_NE(table.find("14 AWG solid"), nullptr);
    EXPECT_NE(table.find("4 mm2"), nullptr);  // of the other system
    EXPECT_EQ(table.controller, 26.5);
    EXPECT_EQ(table.inrush, 0.3);
    EXPECT_EQ(table.holding, crew_table().holding);
    EXPECT_DOUBLE_EQ(table.high.share, 1.15);
    EXPECT_EQ(table.high.reason, "measured");
    EXPECT_DOUBLE_EQ(table.air_limit(Material::pvc), 3e5);
}

TEST(CrewTable, WhatMakesNoSenseIsRefused) {
    for (const char* text : {"wire us 0 ohm/1000ft 18 AWG", "wire us 2 ohm/1000ft a\nwire us 3 ohm/1000ft b",
                             "solenoid least 24 V", "flow low 100 % why", "flow leak 10 why",
                             "air pvc 80 psi", "controller 24", "teapot 3"})
        EXPECT_THROW(read_crew_table(text), std::logic_error) << text;
}

}  // namespace
}  // namespace evenhead::model
