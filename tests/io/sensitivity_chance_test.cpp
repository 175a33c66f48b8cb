// The pieces that `review` prints of sensitivity and chance.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include <map>

#include "io/write/chance.hpp"
#include "io/write/sensitivity.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::io {
namespace {

using test::Index;
constexpr double psi = test::psi, gpm = test::gpm, inch = test::inch;

/// street (62 psi, a flow test) - V1 - H1 on a catalogued pipe.
model::System sample() {
    test::SystemBuilder b;
    b.system.ground = model::Quantity{0, 0};
    b.nozzle(30 * psi, 2 * gpm);
    b.system.nozzles[0].min = model::Quantity{50 * psi, 0};
    b.supply("street", 62 * psi).tests = {{{10 * gpm, 0}, {50 * psi, 0}}};
    b.valve("V1", 5);
    b.head("H1");
    b.line({"street", "V1", "H1"}, 30, 1.189 * inch);
    for (model::Pipe& pipe : b.system.pipes) {
        pipe.size.edit().kind = "pvc-cl200";
        pipe.size.edit().nominal = "1";
    }
    b.default_runs();
    return b.system;
}

std::vector<solver::HeadSensitivity> sensitivity(const model::System& system) {
    const model::Layout layout = model::find_layout(system);
    return solver::find_sensitivity(
        system, layout, solver::most_critical(solver::review_rules(system, layout, 1).critical, 60).heads, 1);
}

TEST(SensitivityWords, TenLinesWithTheirSteps) {
    const model::System system = sample();
    const auto all = sensitivity(system);
    ASSERT_EQ(all.size(), 1U);
    const Speaker speaker{system, ShownUnits::of_text(system)};
    const std::string text = sensitivity_text(speaker, all[0], {true, false, false});
    EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 1 + 2 + 10 + 1) << text;
    EXPECT_NE(text.find("static, supply street"), std::string::npos) << text;
    EXPECT_NE(text.find("+1 psi"), std::string::npos);
    EXPECT_NE(text.find("flow of nozzle nozzle1"), std::string::npos);
    EXPECT_NE(sensitivity_text(speaker, all[0], {true, true, false}).find("to 1-1/4"), std::string::npos);
}

// psi per unit of the case: the static pressure's own derivative is a pure number, that of the flow test
// beside it makes it up to what a supply gives that is higher by 1 psi at any flow.
TEST(SensitivityWords, JsonIsPerUnitOfTheCase) {
    const model::System system = sample();
    const auto all = sensitivity(system);
    const Speaker speaker{system, ShownUnits::of_case(system.units)};
    std::string text;
    Output output([&](std::string_view piece) { text += piece; });
    JsonWriter json(output);
    json.begin_object();
    sensitivity_json(json, speaker, all);
    json.end_object();
    output.finish();
    std::map<std::string, double> by_input;
    const auto parsed = nlohmann::json::parse(text);
    for (const auto& row : parsed["sensitivity"]) {
        EXPECT_EQ(row["run"], "V1");
        EXPECT_EQ(row["head"], "H1");
        by_input[row["input"].get<std::string>() + row["subject"].get<std::string>()] = row["derivative"];
        static const std::map<std::string, std::string> units{
            {"bore", "psi/in"}, {"length", "psi/ft"}, {"nozzle_flow", "psi/gpm"}, {"cv", "psi"}};
        const auto unit = units.find(row["input"].get<std::string>());
        if (unit != units.end()) {
            EXPECT_EQ(row["unit"], unit->second);
        }
    }
    const double together = by_input.at("staticstreet") + by_input.at("residualstreet");
    EXPECT_GT(together, 0.8);
    EXPECT_LT(together, 1);
    // A foot of water is 0.433 psi: what lifts the supply by a foot gives as much of it.
    EXPECT_NEAR(by_input.at("elevationstreet"), 0.4331 * together, 1e-3);
    EXPECT_LT(by_input.at("nozzle_flownozzle1"), 0);
    EXPECT_GT(by_input.at("borestreet-V1"), 0);
}

TEST(ChanceWords, SharesForPeople) {
    EXPECT_EQ(share_below(0), "0 %");
    EXPECT_EQ(share_below(0.0004), "<0.1 %");
    EXPECT_EQ(share_below(0.034), "3.4 %");
    EXPECT_EQ(share_below(0.37), "37 %");
    EXPECT_EQ(share_below(0.9995), ">99.9 %");
    EXPECT_EQ(share_below(1), "100 %");
    EXPECT_EQ(share_below(std::nan("")), "-");
}

TEST(ChanceWords, TextAndJsonOfOneHead) {
    const model::System system = sample();
    const model::Layout layout = model::find_layout(system);
    const solver::Chance chance = solver::find_chance(system, layout, {500, 1, 1, {}, nullptr});
    const Speaker speaker{system, ShownUnits::of_case(system.units)};
    const std::string text = chance_text(speaker, chance, model::usual_spreads(), {});
    EXPECT_NE(text.find("\nH1"), std::string::npos) << text;
    EXPECT_NE(text.find("- static +-5 psi: "), std::string::npos) << text;
    std::string written;
    Output output([&](std::string_view piece) { written += piece; });
    JsonWriter json(output);
    json.begin_object();
    chance_json(json, speaker, chance, model::usual_spreads());
    json.end_object();
    output.finish();
    const auto parsed = nlohmann::json::parse(written);
    const auto& row = parsed["chance"][0];
    EXPECT_EQ(row["head"], "H1");
    EXPECT_NEAR(row["wanted"].get<double>(), 50, 1e-9);
    EXPECT_LT(row["band"][0].get<double>(), row["pressure"].get<double>());
    EXPECT_GT(row["band"][1].get<double>(), row["pressure"].get<double>());
    EXPECT_EQ(parsed["chance_of"]["samples"], 500);
    EXPECT_EQ(parsed["spreads"][0]["input"], "static");
    EXPECT_NEAR(parsed["spreads"][0]["amount"].get<double>(), 5, 1e-9);
}

}  // namespace
}  // namespace evenhead::io
