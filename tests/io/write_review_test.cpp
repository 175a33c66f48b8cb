// The writers of `review`: the JSON has the keys of its description (README), text stays within its columns,
// the CSV has a row for each rule under each condition. And rule sets as a case takes them.
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "io/write/review.hpp"
#include "model/rule_sets.hpp"
#include "solver/rules/rules.hpp"
#include "tests/io/case_folder.hpp"
#include "tests/io/write_sample.hpp"

namespace evenhead::io {
namespace {

using sample::written;

constexpr const char* garden = R"(
ground = 0
supplies = [ { id = "street", static = 60 } ]
devices = [ { id = "G", type = "gate" } ]
valves = [ { id = "V", cv = 20 } ]
nozzles = [ { id = "n", pressure = 30, flow = 2, min = 50, max = 70 } ]
heads = [ { id = "H1", nozzle = "n" }, { id = "H2", nozzle = "n" } ]
pipes = [
  { along = "street 10 G 10 V", size = "pvc-cl200 1" },
  { along = "V 30 H1 30 H2", size = "pvc-cl200 3/4" },
]
)";

class WriteReview : public ::testing::Test {
  protected:
    void read(const std::string& text) {
        reading = read_text(text);
        ASSERT_TRUE(reading.system) << (reading.errors.empty() ? "" : reading.errors.front().text);
        solver::ReviewOptions options;
        options.threads = 1;
        review = solver::review(*reading.system, reading.layout, options);
    }
    template <class Write>
    std::string output(const Write& write) const {
        const ReviewSubject subject{*reading.system,  reading.layout, review,
                                    reading.warnings, reading.files,  "g.toml"};
        return written([&](Output& output) { write(output, subject); });
    }
    nlohmann::json json() const { return nlohmann::json::parse(output(write_review_json)); }
    std::string text(bool all = false) const {
        Page page;
        page.all = all;
        return output(
            [&](Output& to, const ReviewSubject& subject) { write_review_text(to, subject, page); });
    }

    CaseReading reading;
    solver::Review review;
};

TEST_F(WriteReview, JsonHasItsKeys) {
    read(std::string(garden) + "conditions = [ { id = \"dry\", supply = \"-12 psi\" } ]\n");
    const nlohmann::json result = json();
    EXPECT_EQ(result["schema"], 1);
    EXPECT_EQ(result["ok"], false);
    ASSERT_EQ(result["conditions"].size(), 2u);
    EXPECT_EQ(result["conditions"][1]["id"], "dry");
    EXPECT_TRUE(result["rule_set"].is_null());
    std::size_t deciding = 0;
    for (const auto& row : result["rules"]) {
        for (const char* key :
             {"rule", "condition", "run", "subject", "value", "limit", "unit", "margin", "fails"})
            EXPECT_TRUE(row.contains(key)) << key;
        if (row["rule"] != "head-pressure" || !row["deciding"]) continue;
        ++deciding;
        EXPECT_EQ(row["condition"], "dry");
        EXPECT_EQ(row["subject"], "H2");
        EXPECT_EQ(row["unit"], "psi");
        EXPECT_NEAR(row["margin"].get<double>(), row["value"].get<double>() - 50, 1e-9);
    }
    EXPECT_EQ(deciding, 1u);
    ASSERT_FALSE(result["findings"].empty());
    EXPECT_EQ(result["findings"][0]["condition"], "dry");
    ASSERT_EQ(result["outage"].size(), 3u);  // the gate, and the pipe to either side of it
    EXPECT_EQ(result["outage"][0]["closed"], "G");
    EXPECT_EQ(result["outage"][0]["heads"], nlohmann::json::array({"H1", "H2"}));
    ASSERT_FALSE(result["margins"].empty());
    EXPECT_GT(result["margins"][0]["supply_drop"].get<double>(), 0);
    ASSERT_FALSE(result["repairs"].empty());
    for (const auto& row : result["repairs"]) {
        EXPECT_GT(row["gain"].get<double>(), 0);
        for (const char* key : {"kind", "subject", "from", "to"})
            EXPECT_TRUE(row["change"].contains(key)) << key;
    }
}

TEST_F(WriteReview, TextStaysWithinItsColumns) {
    read(garden);
    const std::string said = text();
    EXPECT_EQ(said.rfind("Outside limits under 1 of 3 conditions: 1 of ", 0), 0u) << said.substr(0, 80);
    std::stringstream lines(said);
    for (std::string line; std::getline(lines, line);) EXPECT_LE(display_width(line), 62) << line;
    EXPECT_NE(said.find("10 psi lower"), std::string::npos);
    EXPECT_NE(said.find("(assumed)"), std::string::npos);
}

TEST_F(WriteReview, CsvHasARowForEachRuleAndCondition) {
    read(garden);
    std::stringstream lines(output(write_review_csv));
    std::string line;
    std::getline(lines, line);
    EXPECT_EQ(line, "rule,condition,run,subject,value,limit,unit,margin,fails,deciding");
    std::size_t rows = 0;
    while (std::getline(lines, line)) {
        EXPECT_EQ(std::count(line.begin(), line.end(), ','), 9) << line;
        ++rows;
    }
    EXPECT_EQ(rows, review.rules.rows.size());
}

TEST_F(WriteReview, TheRuleSetAndItsSourcesAreSaid) {
    read("limits.use = \"careful\"\nlimits.velocity = 6\n" + std::string(garden));
    const nlohmann::json set = json()["rule_set"];
    EXPECT_EQ(set["name"], "careful");
    std::vector<std::string> rules;
    for (const auto& limit : set["limits"]) {
        rules.push_back(limit["rule"]);
        EXPECT_FALSE(limit["source"].get<std::string>().empty());
    }
    // The case's own velocity goes before that of the set.
    EXPECT_EQ(rules, (std::vector<std::string>{"zone-spread", "regulator", "regulated-inlet", "spacing",
                                               "working-pressure"}));
    EXPECT_NE(text().find("Rule set careful"), std::string::npos);
}

TEST(RuleSetsOfACase, EverySetOfTheCatalogueFitsTheRules) {
    for (const model::RuleSet& set : model::rule_sets()) {
        const CaseReading reading = read_text("limits.use = \"" + set.name + "\"\n" + garden);
        ASSERT_TRUE(reading.system) << set.name;
        EXPECT_EQ(reading.system->rule_set, set.name);
        for (const model::RuleOfSet& row : set.rules) {
            const solver::RuleInfo* rule = solver::find_rule(row.rule);
            ASSERT_NE(rule, nullptr) << set.name << " " << row.rule;
            EXPECT_TRUE(row.dimension == model::Dimension::none || row.dimension == rule->limit)
                << set.name << " " << row.rule;
        }
    }
}

TEST(RuleSetsOfACase, AMaterialThatTheCaseDoesNotNameKeepsWhatTheSetAsks) {
    const CaseFolder folder;
    folder.write("case.toml",
                 "limits.use = \"town.txt\"\nlimits.velocity = { pvc = 3 }\n" + std::string(garden));
    folder.write(
        "town.txt",
        "set town\nabout A town\nrule velocity 4 ft/s\nsource town code\nrule velocity 6 ft/s in steel\n"
        "source town code\n");
    const CaseReading reading = folder.read();
    ASSERT_TRUE(reading.system);
    const model::Limit& velocity = reading.system->limits.at("velocity");
    EXPECT_NEAR(velocity.value->value, 4 * 0.3048, 1e-12);
    EXPECT_NEAR(velocity.by_material[1]->value, 3 * 0.3048, 1e-12);
    EXPECT_NEAR(velocity.by_material[4]->value, 6 * 0.3048, 1e-12);
}

// Each line of a rule may stand on another document.
TEST(RuleSetsOfACase, EveryLineOfARuleKeepsItsSource) {
    const CaseFolder folder;
    folder.write("case.toml", "limits.use = \"town.txt\"\n" + std::string(garden));
    folder.write(
        "town.txt",
        "set town\nabout A town\nrule velocity 4 ft/s\nsource code 12\nrule velocity 6 ft/s in steel\n"
        "source code 13\nrule velocity 6 ft/s in copper\nsource code 13\n");
    const CaseReading reading = folder.read();
    ASSERT_TRUE(reading.system);
    EXPECT_EQ(reading.system->limits.at("velocity").source, "code 12; in steel: code 13; in copper: code 13");
}

TEST(RuleSetsOfACase, AFileBesideTheCase) {
    const CaseFolder folder;
    folder.write("case.toml", "limits.use = \"town.txt\"\nlimits.surge = \"off\"\n" + std::string(garden));
    folder.write(
        "town.txt",
        "set town\nabout A town\nrule velocity 4 ft/s\nsource town code\nrule velocity 6 ft/s in steel\n"
        "source town code\nrule surge 50 psi\n");
    const CaseReading reading = folder.read();
    ASSERT_TRUE(reading.system);
    EXPECT_EQ(reading.files.size(), 2u);
    const auto& limits = reading.system->limits;
    EXPECT_NEAR(limits.at("velocity").value->value, 4 * 0.3048, 1e-12);
    EXPECT_NEAR(limits.at("velocity").by_material[4]->value, 6 * 0.3048, 1e-12);
    EXPECT_EQ(limits.at("velocity").source, "town code");
    EXPECT_TRUE(limits.at("surge").off);
    EXPECT_EQ(reading.system->rule_set_about, "A town");
}

}  // namespace
}  // namespace evenhead::io
