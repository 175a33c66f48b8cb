// `evenhead sheets` as a shell sees it. What the sheets say is tests/crew, tests/solver and tests/model.
#include <nlohmann/json.hpp>

#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

class SheetsTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        write("case.toml", two_zones());
    }
};

TEST_F(SheetsTest, WritesEverySheetInTextAndJson) {
    const Ended text = evenhead("sheets case.toml");
    EXPECT_EQ(text.status, 0) << text.errors;
    for (const char* title : {"Pipes and trenches", "Valves and wire", "Flushing", "Commissioning",
                              "Flow-sensor limits", "Heads that drain at shut-off", "Before frost"})
        EXPECT_NE(text.output.find(std::string("Two zones. ") + title), std::string::npos) << title;
    for (const char* caution : {"buried utilities", "relieve the pressure", "Compressed air"})
        EXPECT_NE(text.output.find(caution), std::string::npos) << caution;
    const Ended json = evenhead("sheets case.toml --format json");
    const auto told = nlohmann::json::parse(json.output);
    EXPECT_EQ(told["schema"], 1);
    ASSERT_EQ(told["sheets"].size(), 7U);
    EXPECT_EQ(told["sheets"][1]["wires"].size(), 2U);
    EXPECT_TRUE(told["sheets"][3]["gauges"][0].contains("measured"));
}

TEST_F(SheetsTest, CsvIsOneTableWithColumnsToFillIn) {
    const Ended csv = evenhead("sheets case.toml --format csv --table gauges");
    EXPECT_EQ(first_line(csv.output), "run,at,side,predicted,measured");
    EXPECT_NE(csv.output.find("\nnone,street,supply,"), std::string::npos) << csv.output;
    EXPECT_EQ(first_line(evenhead("sheets case.toml --format csv --sheet valves").output),
              "valve,controller,length,own_drop,common_drop,volts,enough,needs,gauge,run,ohm");
    EXPECT_EQ(evenhead("sheets case.toml --table gauges").output, csv.output) << "a table is CSV";
    EXPECT_NE(evenhead("sheets case.toml --table gauges --format json").errors.find("--sheet"),
              std::string::npos);
    EXPECT_EQ(evenhead("sheets case.toml --table gauges --sheet valves").status, 2);
    const Ended which = evenhead("sheets case.toml --format csv");
    EXPECT_EQ(which.status, 2);
    EXPECT_NE(which.errors.find("--table"), std::string::npos);
}

TEST_F(SheetsTest, NamesThatNobodyKnowsAreRefusedWithTheNearest) {
    EXPECT_NE(evenhead("sheets case.toml --sheet valve").errors.find("the nearest is valves"),
              std::string::npos);
    EXPECT_NE(evenhead("sheets case.toml --format csv --table crosings").errors.find("crossings"),
              std::string::npos);
    const Ended wire = evenhead("sheets case.toml --wire '15 AWG'");
    EXPECT_EQ(wire.status, 2);
    EXPECT_NE(wire.errors.find("the nearest is 1"), std::string::npos) << wire.errors;
}

TEST_F(SheetsTest, SheetsWithoutPressuresNeedNoSizes) {
    std::string open = two_zones();
    const auto size = open.find("pvc-");
    open.replace(size, open.find('"', size) - size, "?");
    write("open.toml", open);
    EXPECT_EQ(evenhead("sheets open.toml --sheet pipes --sheet winter").status, 0);
    EXPECT_EQ(evenhead("sheets open.toml --sheet commissioning").status, 2);
}

TEST_F(SheetsTest, ATableOfOnesOwnIsCountedWith) {
    write("crew.txt", "solenoid inrush 0.2 A\nflow low 90 % learned\n");
    const auto told = nlohmann::json::parse(
        evenhead("sheets case.toml --crew-table crew.txt --format json --sheet flow-limits").output);
    const auto& row = told["sheets"][0]["flow-limits"][0];
    EXPECT_NEAR(row["low"].get<double>(), 0.9 * row["expected"].get<double>(), 1e-9);
}

}  // namespace
}  // namespace evenhead::cli
