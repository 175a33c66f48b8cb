// `evenhead compare` as a shell sees it.
#include <nlohmann/json.hpp>

#include "tests/cli/parks.hpp"
#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

class CompareTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        write("drawn.toml", two_zones());
        std::string built = two_zones();
        const auto replace = [&](const std::string& from, const std::string& to) {
            built.replace(built.find(from), from.size(), to);
        };
        replace("id = \"lawn\", cv = 10", "id = \"lawn\", cv = 4");
        replace("length = 20, size = \"pvc-sch40 1\"", "length = 20, size = \"pvc-sch40 3/4\"");
        replace("first = 10, heads = 2", "first = 10, heads = 3");
        write("built.toml", built);
    }
};

TEST_F(CompareTest, TheSameIsNothingAndEndsInZero) {
    const Ended ended = evenhead("compare drawn.toml drawn.toml");
    EXPECT_EQ(ended.status, 0) << ended.errors;
    EXPECT_EQ(first_line(ended.output), "Nothing differs.");
}

TEST_F(CompareTest, WhatDiffersIsListedWithWhatItDoes) {
    const Ended ended = evenhead("compare drawn.toml built.toml --wide");
    EXPECT_EQ(ended.status, 1) << ended.errors;
    EXPECT_TRUE(ended.output.starts_with("4 changes. Head L")) << ended.output;
    EXPECT_NE(ended.output.find("\n- Changed: valve lawn, its cv from 10 to 4. Head L"), std::string::npos)
        << ended.output;
    EXPECT_NE(ended.output.find("\n- Resized: pipe T1-beds, its size from pvc-sch40 1 to pvc-sch40 3/4. "),
              std::string::npos);
    EXPECT_NE(ended.output.find("\n- Added: head B3. Head B2 in run beds: -"), std::string::npos);
    EXPECT_NE(ended.output.find("Next: evenhead worksheet built.toml L"), std::string::npos);
}

TEST_F(CompareTest, JsonAndCsvSayTheSameOnAnyThreads) {
    const Ended json = evenhead("compare drawn.toml built.toml --format json --threads 1");
    EXPECT_EQ(json.status, 1);
    EXPECT_EQ(json.output, evenhead("compare drawn.toml built.toml --format json --threads 2").output);
    const auto all = nlohmann::json::parse(json.output);
    ASSERT_EQ(all["changes"].size(), 4U);
    const auto& worst = all["changes"][0];
    EXPECT_EQ(worst["kind"], "changed");
    EXPECT_EQ(worst["subject"], "lawn");
    EXPECT_EQ(worst["from"], "10");
    EXPECT_EQ(worst["to"], "4");
    EXPECT_EQ(worst["effect"]["run"], "lawn");
    EXPECT_LT(worst["effect"]["alone"].get<double>(), 0);
    EXPECT_EQ(all["deciding"].size(), 2U);
    const Ended csv = evenhead("compare drawn.toml built.toml --format csv");
    EXPECT_EQ(first_line(csv.output), "kind,table,subject,key,from,to,run,head,alone,together,not_alone");
    EXPECT_NE(csv.output.find("\nresized,pipe,T1-beds,size,pvc-sch40 1,pvc-sch40 3/4,beds,"),
              std::string::npos)
        << csv.output;
}

TEST_F(CompareTest, WhatCannotBeReadIsRefused) {
    EXPECT_EQ(evenhead("compare drawn.toml").status, 2);
    EXPECT_EQ(evenhead("compare drawn.toml absent.toml").status, 2);
    EXPECT_EQ(evenhead("compare drawn.toml built.toml -o built.toml").status, 2);
}

}  // namespace
}  // namespace evenhead::cli
