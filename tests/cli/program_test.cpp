// The command line as a shell sees it. Exit statuses: 0 solved and within limits, 1 a finding fails, 2 input
// or command line, 3 no solution (the project's own description of the program).

#include <nlohmann/json.hpp>

#include "tests/cli/parks.hpp"

namespace evenhead::cli {
namespace {

constexpr const char* purpose = "For irrigation sprinklers, not for fire protection.";

TEST_F(ProgramTest, HelpBeginsWithThePurposeAndHasAnExample) {
    const Ended help = evenhead("--help");
    EXPECT_EQ(help.status, 0);
    EXPECT_EQ(first_line(help.output), purpose);
    EXPECT_EQ(help.errors, "");
    for (const char* verb : {"check", "worksheet", "draw", "takeoff", "coverage", "together", "timetable",
                             "sheets", "export", "import", "kinds", "start"}) {
        const Ended of_verb = evenhead(std::string(verb) + " --help");
        EXPECT_EQ(of_verb.status, 0) << verb;
        EXPECT_EQ(first_line(of_verb.output), purpose) << verb;
        EXPECT_NE(of_verb.output.find(std::string("Example: evenhead ") + verb), std::string::npos)
            << of_verb.output;
    }
}

TEST_F(ProgramTest, VersionIsARelease) {
    const Ended version = evenhead("--version");
    EXPECT_EQ(version.status, 0);
    EXPECT_EQ(version.output.rfind("evenhead ", 0), 0U);
}

TEST_F(ProgramTest, AWrongCommandLineEndsWithTwo) {
    write("case.toml", two_zones());
    for (const char* arguments : {"",
                                  "chek case.toml",
                                  "check",
                                  "check case.toml --fromat json",
                                  "check case.toml --format yaml",
                                  "check case.toml --detail some",
                                  "check case.toml --table nozzles",
                                  "check case.toml --threads -1",
                                  "check case.toml --threads many",
                                  "check case.toml case.toml",
                                  "check missing.toml",
                                  "worksheet",
                                  "check case.toml --run nowhere",
                                  "worksheet case.toml L9",
                                  "worksheet case.toml --run nowhere",
                                  "check case.toml --quiet --verbose",
                                  "check case.toml --output",
                                  "kinds nothing",
                                  "check case.toml --format xlsx",
                                  "worksheet case.toml --format xlsx",
                                  "worksheet case.toml L9 -o book.xlsx"}) {
        const Ended ended = evenhead(arguments);
        EXPECT_EQ(ended.status, 2) << arguments;
        EXPECT_EQ(ended.output, "") << arguments;
        EXPECT_NE(ended.errors, "") << arguments;
    }
}

TEST_F(ProgramTest, AMisspeltNameIsAnsweredWithTheNearest) {
    write("case.toml", two_zones());
    EXPECT_NE(evenhead("chek case.toml").errors.find("nearest is check"), std::string::npos);
    EXPECT_NE(evenhead("check case.toml --fromat json").errors.find("nearest is --format"),
              std::string::npos);
    EXPECT_NE(evenhead("check case.toml --run lwan").errors.find("nearest is lawn"), std::string::npos);
    EXPECT_NE(evenhead("worksheet case.toml L44").errors.find("nearest is L4"), std::string::npos);
}

TEST_F(ProgramTest, ExitStatusesFollowTheResult) {
    write("good.toml", two_zones());
    EXPECT_EQ(evenhead("check good.toml").status, 0);
    write("weak.toml", two_zones("", "65"));
    const Ended weak = evenhead("check weak.toml");
    EXPECT_EQ(weak.status, 1);
    EXPECT_EQ(first_line(weak.output), "Outside limits: 2 of 2 runs.");
    EXPECT_EQ(evenhead("worksheet weak.toml").status, 1);
    EXPECT_EQ(evenhead("worksheet good.toml").status, 0);
    write("bad.toml", two_zones("unit = \"us\""));
    const Ended bad = evenhead("check bad.toml");
    EXPECT_EQ(bad.status, 2);
    EXPECT_EQ(bad.output, "");
    EXPECT_EQ(bad.errors.rfind("bad.toml:2:", 0), 0U) << bad.errors;
    EXPECT_NE(bad.errors.find("^"), std::string::npos) << bad.errors;
}

TEST_F(ProgramTest, MoreThanOneBalanceEndsWithThree) {
    write("twin.toml", no_one_balance);
    const Ended text = evenhead("check twin.toml --wide");
    EXPECT_EQ(text.status, 3);
    EXPECT_EQ(first_line(text.output), "No solution: 1 of 1 run.");
    EXPECT_NE(text.output.find("R1: its outlet is at 40 psi, set to 40"), std::string::npos) << text.output;
    const Ended json = evenhead("check twin.toml --format json");
    EXPECT_EQ(json.status, 3);
    const auto run = nlohmann::json::parse(json.output)["runs"][0];
    EXPECT_EQ(run["error"]["kind"], "several-states");
    EXPECT_EQ(run["error"]["elements"], nlohmann::json({"R1", "R2"}));
    EXPECT_FALSE(run["closure"]["solved"]);
    EXPECT_FALSE(run.contains("heads"));
    EXPECT_EQ(evenhead("worksheet twin.toml").status, 3);
}

TEST_F(ProgramTest, SuppliesHeldApartByNextToNothingEndWithThree) {
    write("joined.toml", R"(units = "us"
ground = 0
supplies = [{ id = "street", static = 62 }, { id = "tank", static = 50 }]
nozzles = [{ id = "n", pressure = 30, flow = 2, design = 30 }]
heads = [{ id = "H1", nozzle = "n" }]
pipes = [
  { id = "main", from = "street", to = "H1", bore = 1, length = 50, c = 150 },
  { id = "slip", from = "street", to = "tank", bore = 1, length = 1e-20, c = 150 },
]
)");
    const Ended text = evenhead("check joined.toml --wide");
    EXPECT_EQ(text.status, 3);
    EXPECT_NE(text.output.find("at most 1.59e+10 gpm is believed"), std::string::npos) << text.output;
    EXPECT_NE(text.output.find("supply street, supply tank and pipe slip"), std::string::npos) << text.output;
    const auto json = nlohmann::json::parse(evenhead("check joined.toml --format json").output);
    const auto& error = json["runs"][0]["error"];
    EXPECT_EQ(error["kind"], "boundless-flow");
    EXPECT_EQ(error["elements"], nlohmann::json({"street", "tank", "slip"}));
    EXPECT_GT(error["points"][0]["value"], error["points"][0]["limit"]) << error;
}

TEST_F(ProgramTest, HeadsThatNoWaterReachesAreFoundAndHaveNoWorksheet) {
    std::string closed = two_zones();
    closed.replace(closed.find("length = 20"), 11, "length = 20, closed = true");
    write("closed.toml", closed);
    const Ended dry = evenhead("check closed.toml");
    EXPECT_EQ(dry.status, 1) << dry.output;
    EXPECT_NE(dry.output.find("Worst: head B1 gets water in no run."), std::string::npos) << dry.output;
    EXPECT_NE(dry.output.find("no water"), std::string::npos) << dry.output;
    const auto json = nlohmann::json::parse(evenhead("check closed.toml --format json").output);
    EXPECT_EQ(json["findings"][0]["rule"], "unfed");
    EXPECT_TRUE(json["runs"][1]["heads"][4]["pressure"].is_null());
    EXPECT_EQ(json["runs"][1]["heads"][4]["flow"], 0);
    const Ended sheet = evenhead("worksheet closed.toml B1");
    EXPECT_EQ(sheet.status, 2);
    EXPECT_NE(sheet.errors.find("no water reaches head B1"), std::string::npos) << sheet.errors;
}

TEST_F(ProgramTest, AnUnknownValueIsRefusedByName) {
    write("case.toml", two_zones("", "\"?\""));
    EXPECT_EQ(evenhead("check case.toml").status, 0);  // no balance needs a nozzle's min
    std::string text = two_zones();
    text.replace(text.find("static = 60"), 11, "static = \"?\"");
    write("unknown.toml", text);
    const Ended unknown = evenhead("check unknown.toml");
    EXPECT_EQ(unknown.status, 2);
    EXPECT_NE(unknown.errors.find("street"), std::string::npos) << unknown.errors;
}

TEST_F(ProgramTest, JsonIsTheSameOnAnyNumberOfThreadsAndInAnyLocale) {
    write("case.toml", two_zones());
    const Ended one = evenhead("check case.toml --format json --threads 1");
    EXPECT_EQ(one.status, 0);
    EXPECT_EQ(one.output, evenhead("check case.toml --format json --threads 4").output);
    EXPECT_EQ(one.output, shell("LC_ALL=de_DE.UTF-8 evenhead check case.toml --format json").output);
    const auto json = nlohmann::json::parse(one.output);
    EXPECT_EQ(json["ok"], true);
    ASSERT_EQ(json["runs"].size(), 2U);
    EXPECT_EQ(json["runs"][0]["closure"]["solved"], true);
    double drawn = 0;  // what the heads draw is what the run passes
    for (const auto& head : json["runs"][0]["heads"]) drawn += head["flow"].get<double>();
    EXPECT_NEAR(drawn, json["runs"][0]["flow"].get<double>(), 1e-9);
}

TEST_F(ProgramTest, OneRunOnly) {
    write("case.toml", two_zones());
    const auto json = nlohmann::json::parse(evenhead("check case.toml --format json --run beds").output);
    ASSERT_EQ(json["runs"].size(), 1U);
    EXPECT_EQ(json["runs"][0]["id"], "beds");
    EXPECT_EQ(first_line(evenhead("check case.toml --run beds --quiet").output),
              "Within limits in run beds.");
}

TEST_F(ProgramTest, TheWorksheetAddsUpToTheNozzle) {
    write("case.toml", two_zones());
    const Ended ended = evenhead("worksheet case.toml L4 --format json");
    ASSERT_EQ(ended.status, 0) << ended.errors;
    const auto sheet = nlohmann::json::parse(ended.output);
    EXPECT_EQ(sheet["head"], "L4");
    EXPECT_EQ(sheet["run"], "lawn");
    double sum = 0;
    for (const auto& line : sheet["lines"]) {
        sum += line["change"].get<double>();
        EXPECT_NEAR(line["pressure"].get<double>(), sum, 0.001);
    }
    EXPECT_NEAR(sum, sheet["pressure"].get<double>(), 0.001);
    EXPECT_NEAR(sheet["margin"].get<double>(),
                sheet["pressure"].get<double>() - sheet["wanted"].get<double>(), 1e-9);
    const auto checked = nlohmann::json::parse(evenhead("check case.toml --format json").output);
    EXPECT_EQ(checked["runs"][0]["heads"][3]["id"], "L4");
    EXPECT_NEAR(sum, checked["runs"][0]["heads"][3]["pressure"].get<double>(), 0.001);
}

TEST_F(ProgramTest, AHeadOfAnotherRunIsFollowedWhereItRuns) {
    write("case.toml", two_zones());
    const Ended ended = evenhead("worksheet case.toml B2 --run lawn");
    EXPECT_EQ(ended.status, 0) << ended.errors;
    EXPECT_NE(ended.output.find("Head B2 does not run in run lawn; this is run beds."), std::string::npos);
}

TEST_F(ProgramTest, AnOutputFileIsWrittenWholeOrNotAtAll) {
    write("case.toml", two_zones());
    write("result.json", "old");
    EXPECT_EQ(evenhead("check case.toml --format json -o result.json").status, 0);
    EXPECT_EQ(nlohmann::json::parse(content("result.json"))["schema"], 1);
    write("bad.toml", "nothing = 1\n");
    write("result.json", "old");
    EXPECT_EQ(evenhead("check bad.toml --format json -o result.json").status, 2);
    EXPECT_EQ(content("result.json"), "old");
    EXPECT_EQ(evenhead("check case.toml -o case.toml").status, 2);
    EXPECT_EQ(content("case.toml"), two_zones());
}

TEST_F(ProgramTest, VerboseSpeaksOnStandardErrorOnly) {
    write("case.toml", two_zones());
    const Ended plain = evenhead("check case.toml --format json"),
                verbose = evenhead("check case.toml --format json --verbose");
    EXPECT_EQ(plain.output, verbose.output);
    EXPECT_NE(verbose.errors.find("largest mismatch"), std::string::npos) << verbose.errors;
    EXPECT_NE(verbose.errors.find("step length"), std::string::npos) << verbose.errors;
}

TEST_F(ProgramTest, StartAsksWritesAndChecks) {
    const Ended ended =
        shell("printf '62\\n?\\nfar\\n50\\n2\\n6\\n12\\n?\\n?\\n?\\n' | evenhead start garden.toml");
    EXPECT_EQ(ended.status, 0) << ended.errors;
    EXPECT_NE(content("garden.toml").find("static = 62"), std::string::npos);
    EXPECT_NE(content("garden.toml").find("min = 20, design = 30"), std::string::npos)
        << content("garden.toml");
    EXPECT_EQ(evenhead("check garden.toml").status, 0);
    const auto json = nlohmann::json::parse(evenhead("check garden.toml --format json").output);
    EXPECT_EQ(json["runs"][0]["heads"].size(), 6U);
    const std::string written = content("garden.toml");
    EXPECT_EQ(evenhead("start garden.toml --yes").status, 2);
    EXPECT_EQ(content("garden.toml"), written);
    EXPECT_EQ(evenhead("start garden.toml --yes --force").status, 0);
    EXPECT_NE(content("garden.toml"), written);
}

TEST_F(ProgramTest, StartTakesItsAnswersAsOptions) {
    EXPECT_EQ(
        evenhead("start a.toml --static 58 --flow 16 --residual 47 --heads 8 --spacing 35 --nozzle-flow 2.5 "
                 "--distance 90 --rise -3 --yes")
            .status,
        0);
    EXPECT_EQ(evenhead("check a.toml").status, 0) << evenhead("check a.toml").output;
    EXPECT_EQ(evenhead("start m.toml --units metric --static '4.2 bar' --heads 4 --yes").status, 0);
    EXPECT_EQ(evenhead("check m.toml").status, 0) << evenhead("check m.toml").output;
    EXPECT_EQ(evenhead("start b.toml --static -4 --yes").status, 2);
    EXPECT_EQ(evenhead("start b.toml --pipe 'pvc-cl20 1' --yes").status, 2);
    EXPECT_EQ(evenhead("start b.toml --heads 2.5 --yes").status, 2);
    EXPECT_EQ(shell("evenhead start b.toml < /dev/null").status, 2);
    EXPECT_FALSE(exists("b.toml"));
}

}  // namespace
}  // namespace evenhead::cli
