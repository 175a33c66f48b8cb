// `evenhead diagnose` as a shell sees it: exit status, what goes where, and what is refused.
#include <nlohmann/json.hpp>

#include "tests/cli/parks.hpp"
#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

class DiagnoseTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        write("case.toml", two_zones());
        // The readings are made from the program's own answer, so that they fit whatever the laws say.
        const Ended drawn = evenhead("check case.toml --format json");
        ASSERT_EQ(drawn.status, 0) << drawn.errors;
        write("drawn.csv", readings(drawn.output));
        std::string blocked = two_zones();
        const std::string lateral = "heads = 4, spacing = 12";
        blocked.replace(blocked.find(lateral), lateral.size(), "heads = 2, spacing = 12");
        blocked.insert(blocked.find("pipes = [\n") + 10,
                       "  { from = \"L2\", to = \"L3\", length = 12, size = \"pvc-cl200 1\", k = 4000 },\n"
                       "  { from = \"L3\", to = \"L4\", length = 12, size = \"pvc-cl200 1\" },\n");
        blocked.insert(blocked.find("laterals = ["),
                       "heads = [ { id = \"L3\", nozzle = \"n\" }, { id = \"L4\", nozzle = \"n\" } ]\n");
        write("blocked.toml", blocked);
        const Ended faulty = evenhead("check blocked.toml --format json");
        ASSERT_LE(faulty.status, 1) << faulty.errors;
        write("pinched.csv", readings(faulty.output));
    }

    /// What gauges at every head of the lawn, before its valve and at the supply would show.
    static std::string readings(const std::string& checked) {
        const auto all = nlohmann::json::parse(checked);
        const auto& run = all["runs"][0];
        std::string csv = "run,at,side,pressure,flow\n";
        for (const auto& head : run["heads"])
            if (head["flow"] > 0)
                csv += "lawn," + head["id"].get<std::string>() + ",," + head["pressure"].dump() + ",\n";
        for (const auto& valve : run["valves"])
            if (valve["id"] == "lawn") csv += "lawn,lawn,inlet," + valve["inlet"].dump() + ",\n";
        csv += "lawn,street,,," + run["supplies"][0]["flow"].dump() + "\n";
        return csv;
    }
};

TEST_F(DiagnoseTest, AFaultEndsInOneAndTheAnswerComesFirst) {
    const Ended ended = evenhead("diagnose case.toml pinched.csv");
    EXPECT_EQ(ended.status, 1) << ended.errors;
    EXPECT_EQ(ended.errors, "") << "no progress line where nobody watches";
    EXPECT_TRUE(ended.output.starts_with("Pipe L2-L3 is ")) << ended.output;
    EXPECT_NE(ended.output.find("\nHow sure: "), std::string::npos);
    EXPECT_NE(ended.output.find("\nNext: "), std::string::npos);
}

TEST_F(DiagnoseTest, AllAsDrawnEndsInZero) {
    const Ended ended = evenhead("diagnose case.toml drawn.csv");
    EXPECT_EQ(ended.status, 0) << ended.output;
    EXPECT_TRUE(ended.output.starts_with("These readings show nothing wrong")) << ended.output;
}

TEST_F(DiagnoseTest, ReadingsOfTheCaseServeWhereNoFileIsNamed) {
    write("own.toml", two_zones() + "readings = \"pinched.csv\"\n");
    const Ended own = evenhead("diagnose own.toml"), file = evenhead("diagnose case.toml pinched.csv");
    EXPECT_EQ(own.status, 1);
    EXPECT_EQ(own.output.substr(0, own.output.find("Mending")),
              file.output.substr(0, file.output.find("Mending")));
    // A file takes their place.
    EXPECT_EQ(evenhead("diagnose own.toml drawn.csv").status, 0);
}

TEST_F(DiagnoseTest, EveryFormatIsThere) {
    const Ended json = evenhead("diagnose case.toml pinched.csv --format json");
    EXPECT_EQ(json.status, 1);
    const auto all = nlohmann::json::parse(json.output);
    EXPECT_EQ(all["run"], "lawn");
    EXPECT_EQ(all["groups"][0]["members"][0]["faults"][0]["at"], "L2-L3");
    const Ended csv = evenhead("diagnose case.toml pinched.csv --format csv -o out.csv");
    EXPECT_EQ(csv.status, 1);
    EXPECT_EQ(csv.output, "");
    EXPECT_TRUE(content("out.csv").starts_with("group,"));
    EXPECT_NE(evenhead("diagnose case.toml pinched.csv --all").output,
              evenhead("diagnose case.toml pinched.csv").output);
}

TEST_F(DiagnoseTest, TheSameBytesOnOneThreadAndTwo) {
    for (const std::string format : {"text", "json", "csv"}) {
        const Ended one = evenhead("diagnose case.toml pinched.csv --threads 1 --format " + format);
        const Ended two = evenhead("diagnose case.toml pinched.csv --threads 2 --format " + format);
        EXPECT_EQ(one.output, two.output);
        EXPECT_FALSE(one.output.empty());
    }
}

TEST_F(DiagnoseTest, TheRunComplainedOfIsChosen) {
    const Ended ended = evenhead("diagnose case.toml pinched.csv --run beds --format json");
    EXPECT_EQ(ended.status, 1) << ended.errors;
    EXPECT_EQ(nlohmann::json::parse(ended.output)["run"], "beds");
    const Ended unknown = evenhead("diagnose case.toml pinched.csv --run bets");
    EXPECT_EQ(unknown.status, 2);
    EXPECT_NE(unknown.errors.find("the nearest is beds"), std::string::npos);
}

TEST_F(DiagnoseTest, NoReadingsAreRefusedWithTheWayToGiveThem) {
    const Ended ended = evenhead("diagnose case.toml");
    EXPECT_EQ(ended.status, 2);
    EXPECT_EQ(ended.output, "");
    EXPECT_NE(ended.errors.find("case.toml has no readings to go by"), std::string::npos) << ended.errors;
    EXPECT_NE(ended.errors.find("readings = [ { run = \"lawn\", at = "), std::string::npos);
    EXPECT_NE(ended.errors.find("evenhead diagnose CASE readings.csv"), std::string::npos);
}

TEST_F(DiagnoseTest, ReadingsThatSayNothingAreRefused) {
    // All shut, nobody knows what stands behind a valve.
    write("behind.csv", "run,at,pressure\nnone,L1,3\n");
    const Ended ended = evenhead("diagnose case.toml behind.csv");
    EXPECT_EQ(ended.status, 2);
    EXPECT_NE(ended.errors.find("none of the readings can be used"), std::string::npos) << ended.errors;
}

TEST_F(DiagnoseTest, AWrongReadingsFileIsRefusedWithLineAndMend) {
    write("bad.csv", "run,at,pressure\nlown,L1,31\nlawn,L9,31\n");
    const Ended ended = evenhead("diagnose case.toml bad.csv");
    EXPECT_EQ(ended.status, 2);
    EXPECT_EQ(ended.output, "");
    EXPECT_EQ(ended.errors,
              "bad.csv:2:1: error: L1: nobody defines the run \"lown\".\n"
              "  did you mean \"lawn\"?\n"
              "  2 | lown,L1,31\n"
              "    | ^\n"
              "bad.csv:3:2: error: L9: nobody defines the point \"L9\".\n"
              "  did you mean \"L1\"?\n"
              "  3 | lawn,L9,31\n"
              "    |      ^\n"
              "bad.csv: 2 errors to mend; nothing was written.\n");
    EXPECT_EQ(evenhead("diagnose case.toml absent.csv").status, 2);
    EXPECT_EQ(evenhead("diagnose case.toml case.toml").status, 2);
}

TEST_F(DiagnoseTest, PriorsComeFromAFile) {
    write("mine.txt", "# leaks only\nfault blockage 0\nfault narrow-run 0\n");
    const Ended ended = evenhead("diagnose case.toml pinched.csv --priors mine.txt --format json");
    EXPECT_EQ(ended.status, 1) << ended.errors;
    EXPECT_EQ(ended.output.find("\"blockage\""), std::string::npos);
    write("bad.txt", "fault blockage 22 60 98 % open\nfault leek 3\n");
    const Ended bad = evenhead("diagnose case.toml pinched.csv --priors bad.txt");
    EXPECT_EQ(bad.status, 2);
    EXPECT_NE(bad.errors.find("bad.txt:2:1: error: nobody knows the word leek"), std::string::npos)
        << bad.errors;
}

TEST_F(DiagnoseTest, ARunWithoutASolutionIsNamedWithItsReason) {
    write("twin.toml", no_one_balance);
    const std::string run =
        nlohmann::json::parse(evenhead("check twin.toml --format json").output)["runs"][0]["id"];
    write("twin.csv", "run,at,pressure\n" + run + ",H1,31\n");
    const Ended ended = evenhead("diagnose twin.toml twin.csv");
    EXPECT_EQ(ended.status, 3) << ended.errors;
    EXPECT_EQ(ended.output, "");
    EXPECT_NE(ended.errors.find("as drawn, run " + run + " has no proven solution"), std::string::npos)
        << ended.errors;
    EXPECT_NE(ended.errors.find("Try: "), std::string::npos) << ended.errors;
}

TEST_F(DiagnoseTest, NoFileThatWasReadIsOverwritten) {
    const std::string before = content("pinched.csv");
    const Ended ended = evenhead("diagnose case.toml pinched.csv -o pinched.csv");
    EXPECT_EQ(ended.status, 2);
    EXPECT_EQ(content("pinched.csv"), before);
    write("mine.txt", "fault leak 3\n");
    EXPECT_EQ(evenhead("diagnose case.toml pinched.csv --priors mine.txt -o mine.txt").status, 2);
    EXPECT_EQ(content("mine.txt"), "fault leak 3\n");
}

/// The case with C of its main as "?", and its street known within 20 psi, 5 psi too low.
std::string half_known(std::string text) {
    const auto replace = [&](const std::string& old, const std::string& by) {
        text.replace(text.find(old), old.size(), by);
    };
    replace("static = 60, flow = 15, residual = 50",
            "static = \"55 +- 20 psi\", flow = 15, residual = \"45 +- 20 psi\"");
    replace("10 lawn\", size = \"pvc-sch40 1\" },",
            "10 lawn\", size = \"pvc-sch40 1\", c = \"?\" },  # unseen");
    return text;
}

TEST_F(DiagnoseTest, WhatTheCaseLeavesOpenIsFittedAndWritten) {
    const std::string text = half_known(two_zones());
    write("open.toml", text);
    EXPECT_EQ(evenhead("check open.toml").status, 2);
    const Ended json = evenhead("diagnose open.toml drawn.csv --format json --write known.toml");
    EXPECT_EQ(json.status, 0) << json.errors;
    EXPECT_NE(json.errors.find("Wrote known.toml"), std::string::npos) << json.errors;
    const auto all = nlohmann::json::parse(json.output);
    ASSERT_EQ(all["calibrated"].size(), 2U) << all["calibrated"];
    const auto &street = all["calibrated"][0], &c = all["calibrated"][1];
    EXPECT_EQ(street["input"], "static");
    EXPECT_EQ(street["at"], "street");
    EXPECT_EQ(street["before"], 55);
    EXPECT_EQ(street["before_sd"], 10);
    EXPECT_TRUE(street["determined"].get<bool>());
    EXPECT_NEAR(street["after"].get<double>(), 60, 3 * street["sd"].get<double>());
    EXPECT_EQ(c["input"], "c");
    EXPECT_EQ(c["parts"], (nlohmann::json{"street-T1", "T1-lawn"}));
    EXPECT_TRUE(c["before"].is_null());
    EXPECT_FALSE(c["determined"].get<bool>());  // so little is lost in it
    // The user's own words are kept, but for what is determined.
    const std::string known = content("known.toml");
    EXPECT_NE(known.find("c = \"?\" },  # unseen"), std::string::npos) << known;
    EXPECT_EQ(known.find("55 +- 20 psi"), std::string::npos) << known;
    EXPECT_EQ(known.substr(known.find("valves")), text.substr(text.find("valves")));
    EXPECT_EQ(content("open.toml"), text);
    const Ended said = evenhead("diagnose open.toml drawn.csv");
    EXPECT_NE(said.output.find("What the readings say of the case\n"), std::string::npos) << said.output;
    for (const std::string format : {"text", "json"})
        EXPECT_EQ(evenhead("diagnose open.toml drawn.csv --threads 1 --format " + format).output,
                  evenhead("diagnose open.toml drawn.csv --threads 2 --format " + format).output);
}

TEST_F(DiagnoseTest, TheCaseItselfIsNeverWrittenOver) {
    write("open.toml", half_known(two_zones()));
    for (const std::string name : {"open.toml", "drawn.csv", "./open.toml"}) {
        const Ended ended = evenhead("diagnose open.toml drawn.csv --write " + name);
        EXPECT_EQ(ended.status, 2) << name;
        EXPECT_EQ(ended.output, "");
        EXPECT_NE(ended.errors.find("--write"), std::string::npos) << ended.errors;
    }
    const Ended nothing = evenhead("diagnose case.toml drawn.csv --write known.toml");
    EXPECT_EQ(nothing.status, 2);
    EXPECT_NE(nothing.errors.find("there is nothing to calibrate"), std::string::npos) << nothing.errors;
    EXPECT_EQ(content("known.toml"), "");
}

TEST_F(DiagnoseTest, WhatCannotBeFittedIsRefusedByName) {
    std::string text = two_zones();
    const std::string residual = "residual = ";
    const std::size_t at = text.find(residual) + residual.size();
    ASSERT_GT(at, residual.size());
    text.replace(at, text.find_first_of(" ,}", at) - at, "\"?\"");
    write("open.toml", text);
    const Ended ended = evenhead("diagnose open.toml drawn.csv");
    EXPECT_EQ(ended.status, 2) << ended.output;
    EXPECT_NE(ended.errors.find("its flow test is not known"), std::string::npos) << ended.errors;
}

}  // namespace
}  // namespace evenhead::cli
