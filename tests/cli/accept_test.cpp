// `evenhead accept` as a shell sees it.
#include <nlohmann/json.hpp>

#include "tests/cli/parks.hpp"
#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

class AcceptTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        write("case.toml", two_zones());
        const Ended drawn = evenhead("check case.toml --format json");
        ASSERT_EQ(drawn.status, 0) << drawn.errors;
        const auto all = nlohmann::json::parse(drawn.output);
        for (const auto& head : all["runs"][0]["heads"])
            if (head["id"] == "L4") l4_ = head["pressure"];
        flow_ = all["runs"][0]["flow"];
    }
    std::string rows(double off) const {
        return "run,at,pressure,flow\nlawn,L4," + std::to_string(l4_ + off) + ",\nlawn,street,," +
               std::to_string(flow_) + "\n";
    }
    double l4_ = 0, flow_ = 0;
};

// Without a spread a gauge may be off by 2 psi, nineteen times in twenty.
TEST_F(AcceptTest, TheAllowedDifferenceDecides) {
    write("good.csv", rows(1.99));
    const Ended good = evenhead("accept case.toml good.csv");
    EXPECT_EQ(good.status, 0) << good.errors;
    EXPECT_EQ(first_line(good.output), "Accepted: 2 readings within what is allowed.");
    write("bad.csv", rows(-2.01));
    const Ended bad = evenhead("accept case.toml bad.csv");
    EXPECT_EQ(bad.status, 1) << bad.errors;
    EXPECT_EQ(first_line(bad.output), "Not accepted: 1 of 2 readings outside what is allowed.");
    EXPECT_NE(bad.output.find("Farthest off: head L4 with lawn running: "), std::string::npos);
    EXPECT_NE(bad.output.find("Next: evenhead diagnose case.toml bad.csv\n"), std::string::npos);
    EXPECT_EQ(bad.errors, "");
}

TEST_F(AcceptTest, JsonAndCsvSayTheSame) {
    write("bad.csv", rows(-3));
    const Ended json = evenhead("accept case.toml bad.csv --format json");
    EXPECT_EQ(json.status, 1) << json.errors;
    const auto all = nlohmann::json::parse(json.output);
    EXPECT_EQ(all["ok"], false);
    const auto& row = all["acceptance"][0];
    EXPECT_EQ(row["run"], "lawn");
    EXPECT_EQ(row["at"], "L4");
    EXPECT_EQ(row["gauge"], "pitot");
    EXPECT_NEAR(row["predicted"].get<double>(), l4_, 1e-5);
    EXPECT_NEAR(row["measured"].get<double>(), l4_ - 3, 1e-5);
    EXPECT_NEAR(row["allowed"].get<double>(), 2, 1e-9);
    EXPECT_EQ(row["accepted"], false);
    EXPECT_EQ(all["acceptance"][1]["accepted"], true);
    EXPECT_NEAR(all["acceptance"][1]["allowed"].get<double>(), 0.06 * flow_, 1e-5);
    const Ended csv = evenhead("accept case.toml bad.csv --format csv");
    EXPECT_EQ(
        first_line(csv.output),
        "run,at,kind,side,gauge,predicted,measured,difference,allowed,sd_reading,sd_model,unit,accepted");
    EXPECT_NE(csv.output.find("\nlawn,L4,pressure,,pitot,"), std::string::npos);
}

TEST_F(AcceptTest, ReadingsOfTheCaseServeAndTheSpreadOfTheSupplyCounts) {
    std::string uncertain = two_zones();
    uncertain.replace(uncertain.find("static = 60"), 11, "static = \"60 +- 4 psi\"");
    write("own.toml", uncertain + "readings = \"own.csv\"\n");
    write("own.csv", rows(-4));
    const Ended ended = evenhead("accept own.toml --threads 2");
    EXPECT_EQ(ended.status, 0) << ended.output << ended.errors;
    EXPECT_NE(ended.output.find("strays with\n1 input that the case gives with a spread"), std::string::npos)
        << ended.output;
    EXPECT_EQ(ended.output, evenhead("accept own.toml --threads 1").output);
}

TEST_F(AcceptTest, WhatCannotBeJudgedIsRefused) {
    Ended ended = evenhead("accept case.toml");
    EXPECT_EQ(ended.status, 2);
    EXPECT_NE(ended.errors.find("evenhead accept CASE readings.csv"), std::string::npos) << ended.errors;
    write("behind.csv", "run,at,pressure\nnone,L1,3\n");
    ended = evenhead("accept case.toml behind.csv");
    EXPECT_EQ(ended.status, 2);
    EXPECT_NE(ended.errors.find("none of the readings can be used"), std::string::npos) << ended.errors;
    write("wrong.csv", "run,at,pressure\nlawn,L9,3\n");
    ended = evenhead("accept case.toml wrong.csv");
    EXPECT_EQ(ended.status, 2);
    EXPECT_NE(ended.errors.find("wrong.csv"), std::string::npos) << ended.errors;
    write("good.csv", rows(0));
    ended = evenhead("accept case.toml good.csv -o good.csv");
    EXPECT_EQ(ended.status, 2);
    write("twin.toml", no_one_balance);
    write("twin.csv", "run,at,pressure\nall,H1,31\n");
    ended = evenhead("accept twin.toml twin.csv");
    EXPECT_EQ(ended.status, 3) << ended.errors;
    EXPECT_NE(ended.errors.find("as drawn, run all has no proven solution"), std::string::npos)
        << ended.errors;
}

}  // namespace
}  // namespace evenhead::cli
