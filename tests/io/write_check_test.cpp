// The writers of `check`. What they have to write stands in the project's own description of results
// (README): the JSON grammar is checked by a JSON library, CSV by the rules of RFC 4180.
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "io/write/row_sinks.hpp"
#include "tests/io/write_sample.hpp"

namespace evenhead::io {
namespace {

using sample::Sample;
using sample::written;

nlohmann::json check_as_json(Detail detail, bool failing_run) {
    const Sample sample;
    const CheckSubject subject = sample.subject();
    return nlohmann::json::parse(written([&](Output& output) {
        const auto writer = check_json(output, subject, detail);
        writer->add(sample.lawn(), sample.lawn_findings());
        auto summary = sample.summary();
        if (failing_run) {
            writer->add(sample.beds(), {});
            summary.solved = false;
        }
        writer->finish(summary, nullptr);
    }));
}

std::vector<std::string> csv_lines(CheckTable table) {
    const Sample sample;
    const CheckSubject subject = sample.subject();
    std::stringstream text(written([&](Output& output) {
        const auto writer = check_csv(output, subject, Detail::all, table);
        writer->add(sample.lawn(), sample.lawn_findings());
        writer->add(sample.beds(), {});
        writer->finish(sample.summary(), nullptr);
    }));
    std::vector<std::string> lines;
    for (std::string line; std::getline(text, line);) lines.push_back(line);
    return lines;
}

std::string check_as_text(const CheckTextOptions& options, bool failing_run = true) {
    const Sample sample;
    const CheckSubject subject = sample.subject();
    return written([&](Output& output) {
        const auto writer = check_text(output, subject, options);
        writer->add(sample.lawn(), sample.lawn_findings());
        auto summary = sample.summary();
        if (failing_run) {
            writer->add(sample.beds(), {});
            summary.solved = false;
        }
        LowerSupply lower;
        lower.change = -10 * sample::psi;
        lower.runs = 2;
        lower.outside = 1;
        lower.unsolved = 1;
        lower.summary = summary;
        lower.summary.critical_margin = -14 * sample::psi;
        writer->finish(summary, &lower);
    });
}

TEST(CheckJson, HasTheFieldsOfTheDescription) {
    const auto json = check_as_json(Detail::all, false);
    EXPECT_EQ(json["schema"], 1);
    EXPECT_EQ(json["case"], "Corner \"garden\"");
    EXPECT_EQ(json["units"]["pressure"], "psi");
    EXPECT_EQ(json["units"]["velocity"], "ft/s");
    EXPECT_EQ(json["ok"], false);
    const auto& run = json["runs"][0];
    EXPECT_EQ(run["id"], "lawn");
    EXPECT_EQ(run["open"], nlohmann::json::array({"lawn"}));
    EXPECT_NEAR(run["flow"], 3, 1e-12);
    EXPECT_NEAR(run["supplies"][0]["pressure"], 62, 1e-12);
    EXPECT_NEAR(run["heads"][0]["radius"], 12, 1e-12);
    EXPECT_TRUE(run["heads"][1]["radius"].is_null());
    EXPECT_EQ(run["pipes"][3]["id"], "lawn-L1");
    EXPECT_EQ(run["pipes"][3]["from"], "lawn");
    EXPECT_NEAR(run["devices"][0]["outlet"], 58, 1e-12);
    EXPECT_TRUE(run["valves"][1]["outlet"].is_null());
    const auto& finding = run["findings"][0];
    EXPECT_EQ(finding["rule"], "head-pressure");
    EXPECT_EQ(finding["subject"], "=SUM(A1)");
    EXPECT_NEAR(finding["margin"], -6, 1e-12);
    EXPECT_EQ(finding["unit"], "psi");
    EXPECT_EQ(finding["fails"], true);
    EXPECT_NEAR(run["findings"][1]["value"], 21, 1e-12);
    EXPECT_EQ(run["findings"][1]["unit"], "%");
    EXPECT_EQ(run["closure"]["solved"], true);
    EXPECT_EQ(run["closure"]["steps"], 6);
    EXPECT_NEAR(run["closure"]["flow"], 1e-12, 1e-20);
    EXPECT_EQ(json["assumptions"][0]["value"], "62 psi");
    EXPECT_EQ(json["warnings"][0]["line"], 12);
    EXPECT_TRUE(json["findings"].empty());
    EXPECT_TRUE(json["rules_off"].empty());
}

TEST(CheckJson, DevicesAndValvesHaveRowsOfTheirOwnInsteadOfPoints) {
    std::vector<std::string> ids;
    const auto json = check_as_json(Detail::all, false);
    for (const auto& point : json["runs"][0]["points"]) ids.push_back(point["id"]);
    EXPECT_EQ(ids, (std::vector<std::string>{"street", "L1", "=SUM(A1)"}));
}

TEST(CheckJson, RunningLeavesOutWhatNoWaterPasses) {
    const auto run = check_as_json(Detail::running, false)["runs"][0];
    EXPECT_EQ(run["pipes"].size(), 4U);
    EXPECT_EQ(run["valves"].size(), 1U);
    EXPECT_EQ(run["heads"].size(), 2U);
}

TEST(CheckJson, SummaryKeepsFlowSuppliesFindingsAndClosure) {
    const auto run = check_as_json(Detail::summary, false)["runs"][0];
    for (const char* key : {"flow", "supplies", "findings", "closure"}) EXPECT_TRUE(run.contains(key)) << key;
    for (const char* key : {"heads", "points", "pipes", "devices", "valves"})
        EXPECT_FALSE(run.contains(key)) << key;
}

TEST(CheckJson, AFailedRunCarriesItsErrorInsteadOfResults) {
    const auto run = check_as_json(Detail::all, true)["runs"][1];
    EXPECT_EQ(run["id"], "beds");
    EXPECT_EQ(run["error"]["kind"], "no-supply");
    EXPECT_EQ(run["error"]["elements"], nlohmann::json::array({"beds"}));
    EXPECT_EQ(run["error"]["try"], "open it or name another run");
    EXPECT_EQ(run["closure"]["solved"], false);
    EXPECT_FALSE(run.contains("flow"));
    EXPECT_FALSE(run.contains("heads"));
}

TEST(CheckJson, WhatCouldNotBeJudgedIsListedOnce) {
    const auto json = check_as_json(Detail::all, true);
    ASSERT_EQ(json["not_checked"].size(), 2U);
    EXPECT_EQ(json["not_checked"][0]["rule"], "surge");
    EXPECT_EQ(json["not_checked"][0]["why"], "no wall");
}

TEST(CheckCsv, HeadingAndRowsHaveTheSameNumberOfCells) {
    for (const auto table : {CheckTable::runs, CheckTable::heads, CheckTable::points, CheckTable::pipes,
                             CheckTable::devices, CheckTable::valves}) {
        const auto lines = csv_lines(table);
        ASSERT_GE(lines.size(), 2U);
        const auto commas = std::count(lines[0].begin(), lines[0].end(), ',');
        for (const auto& line : lines) EXPECT_EQ(std::count(line.begin(), line.end(), ','), commas) << line;
    }
}

TEST(CheckCsv, HeadingsAreTheJsonKeysAndTheRun) {
    const auto run = check_as_json(Detail::all, false)["runs"][0];
    for (const auto& [name, table] : {std::pair{"heads", CheckTable::heads},
                                      {"points", CheckTable::points},
                                      {"pipes", CheckTable::pipes},
                                      {"devices", CheckTable::devices},
                                      {"valves", CheckTable::valves},
                                      {"findings", CheckTable::findings}}) {
        std::vector<std::string> keys, heading;
        for (const auto& [key, value] : run[name][0].items()) keys.push_back(key);
        keys.push_back("run");
        std::stringstream text{std::string(csv_heading(table))};
        for (std::string key; std::getline(text, key, ',');) heading.push_back(key);
        std::sort(keys.begin(), keys.end());
        std::sort(heading.begin(), heading.end());
        EXPECT_EQ(heading, keys) << name;
    }
}

TEST(CheckCsv, UnknownNumbersAreEmptyAndFormulasAreText) {
    const auto lines = csv_lines(CheckTable::heads);
    EXPECT_EQ(lines[2].substr(0, 15), "lawn,'=SUM(A1),");
    EXPECT_EQ(lines[2].back(), ',');
}

TEST(CsvCell, QuotesAsRfc4180AndKeepsOrdinaryIds) {
    EXPECT_EQ(csv_cell("a,b"), "\"a,b\"");
    EXPECT_EQ(csv_cell("say \"no\""), "\"say \"\"no\"\"\"");
    EXPECT_EQ(csv_cell("-5"), "-5");
    EXPECT_EQ(csv_cell("+north"), "+north");
    EXPECT_EQ(csv_cell("@cmd"), "'@cmd");
    EXPECT_EQ(csv_cell("-1+cmd|x"), "'-1+cmd|x");
}

TEST(CheckText, IsAnAnswerBeforeItIsATable) {
    std::stringstream text(check_as_text({}, false));
    std::string verdict, reason, next;
    std::getline(text, verdict);
    std::getline(text, reason);
    std::getline(text, next);
    EXPECT_EQ(verdict, "Outside limits: 1 of 1 run.");
    EXPECT_EQ(reason, "Worst: head =SUM(A1) in run lawn: 24.0 psi, needs 30 psi.");
    EXPECT_EQ(next, "Next: evenhead worksheet garden.toml '=SUM(A1)' --run lawn");
}

TEST(CheckText, SaysHowItGoesAtALowerSupply) {
    const std::string text = check_as_text({});
    EXPECT_NE(text.find("At supply 10 psi lower: no solution in 1 of 2 runs"), std::string::npos) << text;
    EXPECT_NE(text.find("16.0 psi"), std::string::npos) << text;
}

TEST(CheckText, KeepsToSixtyColumns) {
    std::stringstream text(check_as_text({}));
    for (std::string line; std::getline(text, line);) EXPECT_LE(display_width(line), page_columns) << line;
}

TEST(CheckText, HasNoJargonOfNumbersAndNoColourInAFile) {
    const std::string text = check_as_text({});
    for (const char* word : {"iteration", "residual", "Newton", "mismatch", "\x1b["})
        EXPECT_EQ(text.find(word), std::string::npos) << word;
}

TEST(CheckText, AFailureSaysWhereWhyAndWhatToTry) {
    const std::string text = check_as_text({{.wide = true}});
    EXPECT_EQ(text.rfind("No solution: 1 of 2 runs; outside limits: 1.", 0), 0U) << text;
    for (const char* words : {"Run beds has no proven solution.", "It concerns valve beds.",
                              "A valve is closed.", "Try: open it or name another run."})
        EXPECT_NE(text.find(words), std::string::npos) << words << "\n" << text;
}

TEST(CheckText, QuietIsTheVerdictAlone) {
    CheckTextOptions options;
    options.verdict_only = true;
    EXPECT_EQ(check_as_text(options, false), "Outside limits: 1 of 1 run.\n");
}

}  // namespace
}  // namespace evenhead::io
