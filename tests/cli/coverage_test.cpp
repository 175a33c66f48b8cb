// `evenhead coverage` as a shell sees it. What the figures are is tests/solver/coverage_test.cpp and
// tests/coverage.
#include <nlohmann/json.hpp>

#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

using nlohmann::json;

class CoverageTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        write("case.toml", R"(
title = "Square lawn"
ground = 0
supplies = [ { id = "S", static = 60 } ]
valves = [ { id = "lawn", cv = 11 }, { id = "pots", cv = 11 } ]
nozzles = [ { id = "N", pressure = [20, 60], flow = [1, 1.8], radius = [12, 16], design = 45 } ]
heads = [
  { id = "A", nozzle = "N", x = 0, y = 0, arc = 90, facing = 45 },
  { id = "B", nozzle = "N", x = 15, y = 0, arc = 90, facing = 315 },
  { id = "C", nozzle = "N", x = 15, y = 15, arc = 90, facing = 225 },
  { id = "D", nozzle = "N", x = 0, y = 15, arc = 90, facing = 135 },
  { id = "E", nozzle = "N", x = 7, y = 15, arc = 180 },
  { id = "P", nozzle = "N" },
]
pipes = [
  { along = "S 5 M 5 lawn 10 A 15 B 15 C 8 E 8 D", size = "pvc-cl200 1" },
  { along = "M 5 pots 10 P", size = "pvc-cl200 1" },
]
)");
    }
    json coverage(const std::string& options = "") const {
        const Ended ended = evenhead("coverage case.toml --format json " + options);
        EXPECT_EQ(ended.status, 0) << ended.errors;
        return json::parse(ended.output);
    }
};

TEST_F(CoverageTest, SaysWhatIsLeftOutAndWhy) {
    const json found = coverage();
    ASSERT_EQ(found["zones"].size(), 2U);
    const json& lawn = found["zones"][0];
    EXPECT_EQ(lawn["valve"], "lawn");
    EXPECT_EQ(lawn["ground"], "hull");
    EXPECT_NEAR(lawn["area"].get<double>(), 225, 1e-6);
    EXPECT_EQ(lawn["heads"].size(), 4U);
    EXPECT_EQ(lawn["left_out"][0]["id"], "E");
    EXPECT_EQ(lawn["left_out"][0]["why"], "an arc under 360 degrees without facing");
    for (const char* share : {"du_lq", "cu", "lost"}) {
        EXPECT_GE(lawn[share].get<double>(), 0) << share;
        EXPECT_LT(lawn[share].get<double>(), 1) << share;
    }
    const json& pots = found["zones"][1];
    EXPECT_TRUE(pots["rate"].is_null());
    EXPECT_TRUE(pots["area"].is_null());
    EXPECT_EQ(pots["why_none"], "it has no area, and fewer than three heads with coordinates");
    EXPECT_NE(found["estimate"].get<std::string>().find("catch cans"), std::string::npos);
    ASSERT_GE(found["warnings"].size(), 3U);
    const Ended text = evenhead("coverage case.toml");
    EXPECT_EQ(text.status, 0);
    EXPECT_NE(text.output.find("Head E left out"), std::string::npos) << text.output;
    EXPECT_NE(text.output.find("catch cans"), std::string::npos);
    const Ended csv = evenhead("coverage case.toml --format csv");
    EXPECT_EQ(csv.output.find("valve,area,rate,rate_formula,du_lq,cu,lost,"), 0U);
    EXPECT_NE(csv.errors.find("Head E left out"), std::string::npos);
}

TEST_F(CoverageTest, TheSameOnAnyThreads) {
    const std::string one = evenhead("coverage case.toml --format json --threads 1").output;
    EXPECT_EQ(one, evenhead("coverage case.toml --format json --threads 3").output);
}

// 45 mL in an opening of 16.6 in2 over half an hour: 3.66142 x 45 / (30 x 16.6) in/h (60 min / 16.387064 mL
// an in3).
TEST_F(CoverageTest, CatchCans) {
    write("cans.csv", "x,y,volume\n2,2,45\n13,2,30\n13,13,36\n2,13,45 mL\n");
    const json found = coverage("--cans cans.csv --duration 30 --can-area 16.6");
    const json& cans = found["zones"][0]["cans"];
    EXPECT_NEAR(cans["cans"][0]["measured"].get<double>(), 3.66142 * 45 / (30 * 16.6), 1e-5);
    EXPECT_NEAR(cans["measured"]["rate"].get<double>(), 3.66142 * 39 / (30 * 16.6), 1e-5);
    EXPECT_NEAR(cans["measured"]["du_lq"].get<double>(), 30.0 / 39, 1e-12);
    EXPECT_GT(cans["computed"]["rate"].get<double>(), 0);
    EXPECT_TRUE(found["zones"][1]["cans"].is_null());
    // The same as depths: 45 mL is 2.746 in3, on 16.6 in2 0.16543 in.
    write("depths.csv",
          "x,y,depth,duration\n2,2,0.16543,30\n13,2,0.16543,0.5 h\n13,13,0.16543,30\n2,13,4.2019 mm,30\n");
    const json depths = coverage("--cans depths.csv");
    EXPECT_NEAR(depths["zones"][0]["cans"]["measured"]["rate"].get<double>(), 0.33086, 1e-4);
    EXPECT_NEAR(depths["zones"][0]["cans"]["measured"]["cu"].get<double>(), 1, 1e-4);
    const Ended text = evenhead("coverage case.toml --cans depths.csv");
    EXPECT_NE(text.output.find("Measured in zone lawn, 4 cans"), std::string::npos) << text.output;
}

TEST_F(CoverageTest, CommandLinesThatAreWrong) {
    write("cans.csv", "x,y,depth\n2,2,0.2\n");
    for (const char* options :
         {"--grid 0", "--grid 'a foot'", "--grid -1", "--duration 20", "--can-area 16.6",
          "--cans cans.csv --duration 0", "--cans cans.csv --can-area '3 kg'", "--cans nowhere.csv",
          "--cans cans.csv -o cans.csv"}) {
        const Ended ended = evenhead(std::string("coverage case.toml ") + options);
        EXPECT_EQ(ended.status, 2) << options;
        EXPECT_TRUE(ended.output.empty()) << options;
        EXPECT_FALSE(ended.errors.empty()) << options;
    }
    EXPECT_EQ(content("cans.csv"), "x,y,depth\n2,2,0.2\n");
}

TEST_F(CoverageTest, ATooFineGridIsSaid) {
    const json found = coverage("--grid '0.1 mm'");
    EXPECT_TRUE(found["zones"][0]["rate"].is_null());
    EXPECT_NE(found["zones"][0]["why_none"].get<std::string>().find("a million cells"), std::string::npos);
}

}  // namespace
}  // namespace evenhead::cli
