// `evenhead size` as it is run: files, exit status, and that every design printed passes check.
#include <nlohmann/json.hpp>

#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

/// A street, a zone of four heads whose sizes are open; prices of three sizes.
std::string open_zone(const std::string& more = "") {
    return more + R"(title = "Open zone"
ground = 0
supplies = [ { id = "street", static = 55, flow = 15, residual = 45 } ]
valves = [ { id = "lawn", cv = 11.5 } ]
nozzles = [ { id = "half", pressure = 30, flow = 1.9, min = 40, design = 45, max = 60 } ]
prices = [
  { size = "pvc-cl200 3/4", price = 0.30 },
  { size = "pvc-cl200 1", price = 0.42 },
  { size = "pvc-cl200 1-1/4", price = 0.61 },
]
laterals = [ { id = "L", from = "lawn", first = 40, heads = 4, spacing = 30, nozzle = "half", size = "pvc-cl200 ?" } ]
pipes = [ { along = "street 60 lawn", size = "pvc-sch40 1-1/4" } ]
)";
}

class SizeTest : public ProgramTest {};

TEST_F(SizeTest, WritesACaseThatPassesCheckAndSaysWhatItCosts) {
    write("case.toml", open_zone());
    const Ended ended = evenhead("size case.toml -o sized.toml --format json");
    EXPECT_EQ(ended.status, 0) << ended.errors;
    EXPECT_EQ(evenhead("check sized.toml --quiet").status, 0);
    const auto answer = nlohmann::json::parse(ended.output);
    EXPECT_TRUE(answer["ok"].get<bool>());
    EXPECT_TRUE(answer["proven"].get<bool>());
    EXPECT_EQ(answer["bound"], answer["cost"]);
    EXPECT_EQ(answer["gap"], 0);
    // The prices above times the lengths above.
    double cost = 0;
    ASSERT_EQ(answer["sizes"].size(), 4U);
    for (const auto& row : answer["sizes"]) {
        const double length = row["id"] == "lawn-L1" ? 40 : 30;
        cost += length * (row["size"] == "pvc-cl200 3/4" ? 0.30 : row["size"] == "pvc-cl200 1" ? 0.42 : 0.61);
    }
    EXPECT_NEAR(answer["cost"].get<double>(), cost, 1e-9);
    for (const auto& row : answer["binding"])
        for (const char* key : {"rule", "subject", "run", "margin"}) EXPECT_TRUE(row.contains(key)) << key;
    EXPECT_EQ(answer["limit_prices"].size(), 2U);
}

TEST_F(SizeTest, SaysWhatNoSizesCanMeetAndWritesNothing) {
    write("case.toml", open_zone() + "heads = [ { id = \"L4\", at_least = 54 } ]\n");
    const Ended ended = evenhead("size case.toml -o sized.toml --wide");
    EXPECT_EQ(ended.status, 1);
    EXPECT_FALSE(exists("sized.toml"));
    EXPECT_NE(ended.output.find("No choice of sizes keeps every limit: proven."), std::string::npos)
        << ended.output;
    EXPECT_NE(ended.output.find("Head L4 gets"), std::string::npos) << ended.output;
}

TEST_F(SizeTest, KeepsLimitsUnderConditionsToo) {
    write("case.toml", open_zone());
    const auto as_given =
        nlohmann::json::parse(evenhead("size case.toml --format json --no-limit-prices").output);
    write("case.toml", open_zone() + "conditions = [ { id = \"low\", supply = \"-9 psi\" } ]\n");
    const auto low = nlohmann::json::parse(evenhead("size case.toml --format json --no-limit-prices").output);
    EXPECT_GT(low["cost"].get<double>(), as_given["cost"].get<double>());
    // The same by hand: the supply itself lower.
    std::string lower = open_zone();
    lower.replace(lower.find("static = 55, flow = 15, residual = 45"), 37,
                  "static = 46, flow = 15, residual = 36");
    write("case.toml", lower);
    EXPECT_EQ(
        nlohmann::json::parse(evenhead("size case.toml --format json --no-limit-prices").output)["cost"],
        low["cost"]);
}

TEST_F(SizeTest, SaysTheSameOnAnyNumberOfThreads) {
    write("case.toml", open_zone());
    const std::string one =
        evenhead("size case.toml --all --price-list --evaluations 4000 --threads 1").output;
    EXPECT_NE(one.find("sized within limits"), std::string::npos) << one;
    EXPECT_EQ(evenhead("size case.toml --all --price-list --evaluations 4000 --threads 3").output, one);
}

TEST_F(SizeTest, CopiesTablesWhereItWritesIntoAnotherFolder) {
    std::string text = open_zone();
    const std::string pipes = "pipes = [ { along = \"street 60 lawn\", size = \"pvc-sch40 1-1/4\" } ]";
    text.replace(text.find(pipes), pipes.size(), "pipes = \"pipes.csv\"");
    write("case.toml", text);
    write("pipes.csv", "along,size\nstreet 60 lawn,pvc-sch40 1-1/4\n");
    EXPECT_EQ(evenhead("size case.toml -o there/sized.toml").status, 0);
    EXPECT_EQ(content("there/sized-pipes.csv"), content("pipes.csv"));
    EXPECT_EQ(evenhead("check there/sized.toml --quiet").status, 0);
    write("there/pipes.csv", "another file\n");
    EXPECT_EQ(evenhead("size case.toml -o there/again.toml").status, 0);
    EXPECT_EQ(content("there/pipes.csv"), "another file\n");
    EXPECT_EQ(evenhead("check there/again.toml --quiet").status, 0);
}

TEST_F(SizeTest, TakesTheFileOfARuleSetAlong) {
    write("case.toml", open_zone() + "limits.use = \"town.txt\"\n");
    write("town.txt", "set town\nabout The town's own\nrule velocity 4 ft/s\nsource the town\n");
    EXPECT_EQ(evenhead("size case.toml -o there/sized.toml").status, 0);
    EXPECT_EQ(content("there/sized-town.txt"), content("town.txt"));
    const Ended ended = evenhead("check there/sized.toml --quiet");
    EXPECT_EQ(ended.status, 0) << ended.output << ended.errors;
}

TEST_F(SizeTest, SaysNothingOfTheSizesOfWhatCannotBeSized) {
    std::string text = open_zone();
    const std::string size = "size = \"pvc-sch40 1-1/4\"";
    text.insert(text.find(size) + size.size(), ", closed = true");
    write("case.toml", text);
    const Ended ended = evenhead("size case.toml --format json");
    EXPECT_EQ(ended.status, 1) << ended.errors;
    const auto answer = nlohmann::json::parse(ended.output);
    ASSERT_EQ(answer["findings"].size(), 4U) << ended.output;
    for (const auto& row : answer["findings"]) {
        EXPECT_EQ(row["rule"], "unfed");
        for (const char* key : {"value", "limit", "margin", "unit", "text", "try", "run", "fails"})
            EXPECT_TRUE(row.contains(key)) << key;
    }
    EXPECT_TRUE(answer["failures"].is_array());
    const Ended said = evenhead("size case.toml --wide");
    EXPECT_NE(said.output.find("Head L1 gets water in no run"), std::string::npos) << said.output;
    for (const char* of_a_design : {"No pipe was made larger", "Limits are kept"})
        EXPECT_EQ(said.output.find(of_a_design), std::string::npos) << said.output;
}

}  // namespace
}  // namespace evenhead::cli
