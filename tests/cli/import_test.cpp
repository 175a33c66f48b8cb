// `evenhead export` and `evenhead import` as a shell sees them. Whole cases there and back: tests/geo.
#include <nlohmann/json.hpp>

#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

const std::string points =
    "id,type,x,y,elev,nozzle,static,size\n"
    "street,supply,0,0,100,,60,\n"
    "lawn,valve,40,0,100,,,1\n"
    "H1,head,60,0,101,half,,\n"
    "H 2,head,80,0.1,101,half,,\n"
    "main,pipe,0.2,0,,,,pvc-sch40 1\n"
    "main,pipe,40.1,0,,,,\n"
    "lateral,pipe,80,0,,,,pvc-cl200 1\n"
    "lateral,pipe,40,0,,,,\n";

class ImportTest : public ProgramTest {
  protected:
    nlohmann::json report(const std::string& options = "", int status = 0) const {
        const Ended ended = evenhead("import points.csv -o made.toml --format json " + options);
        EXPECT_EQ(ended.status, status) << ended.errors;
        return nlohmann::json::parse(ended.output);
    }
};

TEST_F(ImportTest, PointsAndLinesBecomeACase) {
    write("points.csv", points);
    const Ended made = evenhead("import points.csv -o made.toml");
    EXPECT_EQ(made.status, 0) << made.errors;
    EXPECT_NE(made.output.find("1 supply, 1 valve, 2 heads, 3 pipes"), std::string::npos) << made.output;
    EXPECT_NE(made.output.find("pressure of nozzles: half"), std::string::npos) << made.output;
    const std::string text = content("made.toml");
    EXPECT_NE(text.find("from = \"street\", to = \"lawn\", size = \"pvc-sch40 1\""), std::string::npos)
        << text;
    // The lateral was drawn towards the valve, through a head.
    EXPECT_NE(text.find("from = \"lawn\", to = \"H1\""), std::string::npos) << text;
    EXPECT_NE(text.find("from = \"H1\", to = \"H-2\""), std::string::npos) << text;
    // What it still lacks is named by the answer that needs it, and nothing else is wrong with it.
    const Ended checked = evenhead("check made.toml");
    EXPECT_EQ(checked.status, 2);
    EXPECT_NE(checked.errors.find("half"), std::string::npos) << checked.errors;
    EXPECT_EQ(evenhead("takeoff made.toml").status, 0);
}

TEST_F(ImportTest, WhatNearlyMeetsIsReportedAndNotJoined) {
    std::string gapped = points;
    gapped.replace(gapped.find("main,pipe,40.1"), 14, "main,pipe,38.0");
    write("points.csv", gapped);
    const Ended refused = evenhead("import points.csv -o made.toml");
    EXPECT_EQ(refused.status, 2);  // a valve without an inlet is no case
    EXPECT_FALSE(exists("made.toml"));
    EXPECT_EQ(report("--snap '2.5 ft'")["snapped"].get<int>(), 3);
    gapped = points + "spur,pipe,70,3,,,,pvc-cl200 1\nspur,pipe,70,9,,,,\n";
    write("points.csv", gapped);
    const auto told = report("", 1);
    ASSERT_EQ(told["gaps"].size(), 1U) << told;
    EXPECT_EQ(told["gaps"][0]["kind"], "loose-end");
    EXPECT_NEAR(told["gaps"][0]["distance"].get<double>(), 3, 1e-9);
    EXPECT_EQ(told["gaps"][0]["nearest_line"], "lateral");
}

TEST_F(ImportTest, LinesThatCrossWithoutAPointAreReported) {
    write("points.csv", points + "across,pipe,50,-9,,,,pvc-cl200 1\nacross,pipe,50,9,,,,\n");
    const auto told = report("", 1);
    EXPECT_TRUE(told["gaps"].empty()) << told;
    ASSERT_EQ(told["crossings"].size(), 1U) << told;
    EXPECT_EQ(told["crossings"][0]["other"], "across");
    EXPECT_NEAR(told["crossings"][0]["x"].get<double>(), 50, 1e-9);
    EXPECT_FALSE(told["crossings"][0]["drawn"].get<bool>());
    EXPECT_NE(evenhead("import points.csv -o made.toml").output.find("Look at 1 crossing."),
              std::string::npos);
}

// Wires begin at it: no line has to come to it, and no other point may stand without one.
TEST_F(ImportTest, AControllerNeedsNoLine) {
    write("points.csv", points + "controller,point,9,9,,,,\ncontroller-2,point,60,9,,,,\n");
    EXPECT_TRUE(report()["gaps"].empty());
    write("points.csv", points + "controls,point,9,9,,,,\n");
    EXPECT_EQ(report("", 1)["gaps"].size(), 1U);
}

TEST_F(ImportTest, ARuleSetInAFileDoesNotGoAlongAndThatIsSaid) {
    write("town.txt", "set town\nabout invented\nrule velocity 4 ft/s\nsource invented\n");
    write("case.toml", "origin = [-97.7, 30.3]\nlimits.use = \"town.txt\"\n" + two_zones());
    const Ended out = evenhead("export case.toml -o town.geojson");
    EXPECT_LT(out.status, 2);
    EXPECT_NE(out.errors.find("rule set in town.txt do not go along"), std::string::npos) << out.errors;
    const Ended back = evenhead("import town.geojson -o back.toml");
    EXPECT_EQ(back.status, 1);
    EXPECT_NE(back.output.find("rule set in town.txt"), std::string::npos) << back.output;
    EXPECT_EQ(content("back.toml").find("town.txt"), std::string::npos);
}

TEST_F(ImportTest, OtherNamesAndUnknownOnesAreSaid) {
    std::string named = points;
    named.replace(0, named.find('\n'), "Nr,Art,E,N,Z,Duese,static,size");
    write("points.csv", named);
    const auto told = report("--key id=Nr --key type=Art --key x=E --key y=N --key nozzle=Duese", 0);
    ASSERT_EQ(told["unknown_keys"].size(), 1U) << told;
    EXPECT_EQ(told["unknown_keys"][0]["name"], "Z");
    EXPECT_EQ(told["unknown_keys"][0]["count"], 4);
    const Ended wrong = evenhead("import points.csv --key nozle=Duese");
    EXPECT_EQ(wrong.status, 2);
    EXPECT_NE(wrong.errors.find("the nearest is nozzle"), std::string::npos) << wrong.errors;
}

TEST_F(ImportTest, PointsSurveyedTwiceAreTakenOnce) {
    write("points.csv", points + "H1,head,60.2,0,101,half,,\nX1,fence,0,0,,,,\n");
    const auto told = report("", 1);
    EXPECT_EQ(told["doubled"], nlohmann::json::array({"H1"}));
    EXPECT_EQ(told["unknown_types"][0]["name"], "fence");
}

TEST_F(ImportTest, TheCaseGoesToTheScreenWhereNobodyNamesAFile) {
    write("points.csv", points);
    const Ended made = evenhead("import points.csv");
    EXPECT_EQ(made.output.find("# Written from a survey."), 0U);
    EXPECT_NE(made.errors.find("2 heads"), std::string::npos);
    EXPECT_EQ(evenhead("import points.csv -o points.csv").status, 2);
    EXPECT_EQ(content("points.csv"), points);
}

TEST_F(ImportTest, AMapHasAnOrigin) {
    write("case.toml", two_zones());
    const Ended refused = evenhead("export case.toml -o map.geojson");
    EXPECT_EQ(refused.status, 2);
    EXPECT_NE(refused.errors.find("origin"), std::string::npos);
    EXPECT_FALSE(exists("map.geojson"));
    write("case.toml", two_zones("origin = [-97.7, 30.3]"));
    const Ended made = evenhead("export case.toml -o map.geojson");
    EXPECT_NE(made.output.find("without coordinates"), std::string::npos) << made.output;
    const auto map = nlohmann::json::parse(content("map.geojson"));
    EXPECT_EQ(map["type"], "FeatureCollection");
    EXPECT_TRUE(map["features"][0]["geometry"].is_null());
    // Without any place everything is still there.
    EXPECT_EQ(evenhead("import map.geojson -o back.toml --quiet").status, 0);
    EXPECT_EQ(evenhead("check back.toml --format csv --table heads").output,
              evenhead("check case.toml --format csv --table heads").output);
}

}  // namespace
}  // namespace evenhead::cli
