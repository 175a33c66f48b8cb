// `evenhead accept` as a shell sees it.
#include <nlohmann/json.hpp>

#include <cmath>

#include "tests/cli/parks.hpp"
#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

class AcceptTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        write("case.toml", two_zones());
        write("exact.txt", exact);
        const auto all = drawn("case.toml");
        l4_ = at_l4(all);
        flow_ = all["runs"][0]["flow"];
    }
    nlohmann::json drawn(const std::string& path) {
        return nlohmann::json::parse(evenhead("check " + path + " --format json").output);
    }
    static double at_l4(const nlohmann::json& all) {
        for (const auto& head : all["runs"][0]["heads"])
            if (head["id"] == "L4") return head["pressure"];
        return std::nan("");
    }
    static constexpr const char* exact =
        "spread static 0 psi exact\nspread elevation 0 ft exact\nspread length 0 % exact\n"
        "spread bore 0 % exact\nspread c 0 - exact\nspread nozzle 0 % exact\n"
        "spread swing-joint 0 % exact\n";
    std::string rows(double off) const {
        return "run,at,pressure,flow\nlawn,L4," + std::to_string(l4_ + off) + ",\nlawn,street,," +
               std::to_string(flow_) + "\n";
    }
    double l4_ = 0, flow_ = 0;
};

// Without a spread a gauge may be off by 2 psi, nineteen times in twenty.
TEST_F(AcceptTest, TheAllowedDifferenceDecides) {
    write("good.csv", rows(1.99));
    const Ended good = evenhead("accept case.toml good.csv --spreads exact.txt");
    EXPECT_EQ(good.status, 0) << good.errors;
    EXPECT_EQ(first_line(good.output), "Accepted: 2 readings within what is allowed.");
    write("bad.csv", rows(-2.01));
    const Ended bad = evenhead("accept case.toml bad.csv --spreads exact.txt");
    EXPECT_EQ(bad.status, 1) << bad.errors;
    EXPECT_EQ(first_line(bad.output), "Not accepted: 1 of 2 readings outside what is allowed.");
    EXPECT_NE(bad.output.find("Farthest off: head L4 with lawn running: "), std::string::npos);
    EXPECT_NE(bad.output.find("Next: evenhead diagnose case.toml bad.csv\n"), std::string::npos);
    EXPECT_EQ(bad.errors, "");
}

TEST_F(AcceptTest, JsonAndCsvSayTheSame) {
    write("bad.csv", rows(-3));
    const Ended json = evenhead("accept case.toml bad.csv --format json --spreads exact.txt");
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
    const Ended csv = evenhead("accept case.toml bad.csv --format csv --spreads exact.txt");
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
    const Ended ended = evenhead("accept own.toml --spreads exact.txt --threads 2");
    EXPECT_EQ(ended.status, 0) << ended.output << ended.errors;
    EXPECT_NE(ended.output.find("strays with\n1 input; the case gives 1 of them a spread"), std::string::npos)
        << ended.output;
    EXPECT_EQ(ended.output, evenhead("accept own.toml --spreads exact.txt --threads 1").output);
}

// What the case gives no spread has that of the table: 5 psi of static pressure are two standard deviations,
// and what L4 moves by between 57.5 and 62.5 psi is told by whole balances.
TEST_F(AcceptTest, TheTableOfSpreadsCounts) {
    std::string table = exact;
    table.replace(table.find("static 0"), 8, "static 5");
    write("table.txt", table);
    const auto with_static = [&](const std::string& value) {
        std::string text = two_zones();
        text.replace(text.find("static = 60"), 11, "static = " + value);
        write("moved.toml", text);
        return at_l4(drawn("moved.toml"));
    };
    const double moved = (with_static("62.5") - with_static("57.5")) / 2;
    write("good.csv", rows(0));
    const Ended ended = evenhead("accept case.toml good.csv --spreads table.txt --format json");
    EXPECT_EQ(ended.status, 0) << ended.errors;
    const auto all = nlohmann::json::parse(ended.output);
    EXPECT_NEAR(all["acceptance"][0]["allowed"].get<double>(), 2 * std::hypot(1, moved), 1e-4);
    EXPECT_EQ(all["uncertain_inputs"], 1);
    EXPECT_EQ(all["given_spreads"], 0);
    EXPECT_EQ(all["spreads"][0]["input"], "static");
    EXPECT_EQ(all["spreads"][0]["amount"], 5);
    const Ended usual = evenhead("accept case.toml good.csv");
    EXPECT_NE(usual.output.find("- static +-5.0 psi: common practice"), std::string::npos) << usual.output;
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
