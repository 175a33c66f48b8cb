// `evenhead report` as a shell sees it: the answers that it takes along.
#include "tests/cli/parks.hpp"
#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

class ReportTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        write("case.toml", two_zones());
        write("readings.csv", "run,at,pressure,flow\nlawn,L4,30,\nlawn,street,,6\n");
    }
    static std::string replaced(std::string text, const std::string& from, const std::string& to) {
        return text.replace(text.find(from), from.size(), to);
    }
    bool has(const std::string& words) const { return content("page.html").find(words) != std::string::npos; }
};

TEST_F(ReportTest, NobodyAskedNothingIsThere) {
    EXPECT_EQ(evenhead("report case.toml -o page.html").status, 0);
    for (const char* id :
         {"id=\"review\"", "id=\"acceptance\"", "id=\"comparison\"", "id=\"diagnosis\"", "id=\"sheets\""})
        EXPECT_FALSE(has(id)) << id;
}

TEST_F(ReportTest, EachAnswerHasItsSectionAndSaysWhatItsVerbSays) {
    write("built.toml", replaced(two_zones(), "id = \"lawn\", cv = 10", "id = \"lawn\", cv = 4"));
    const Ended ended = evenhead(
        "report case.toml readings.csv --review --samples 500 --accept --compare built.toml -o page.html");
    EXPECT_EQ(ended.status, 0) << ended.errors;
    for (const char* id : {"id=\"review\"", "id=\"acceptance\"", "id=\"comparison\"", "id=\"diagnosis\""})
        EXPECT_TRUE(has(id)) << id;
    EXPECT_TRUE(has(first_line(evenhead("accept case.toml readings.csv").output)));
    EXPECT_TRUE(has(first_line(evenhead("compare case.toml built.toml --wide").output)));
    EXPECT_TRUE(has(first_line(evenhead("review case.toml --samples 0").output)));
    for (const char* table : {"review-rules", "review-inputs-1", "review-chances", "accepted-pressures",
                              "accepted-flows", "changes-table", "compared-table"})
        EXPECT_TRUE(has("id=\"" + std::string(table) + "\"")) << table;
    EXPECT_TRUE(has("drawn 500 times"));
    EXPECT_TRUE(has("class=\"grade bands wide\""));
}

// The same rows as on the page of the sheets: written once.
TEST_F(ReportTest, TheCrewsSheetsStandInTheReportAsOnTheirOwnPage) {
    EXPECT_EQ(evenhead("report case.toml --sheets -o page.html").status, 0);
    const std::string page = content("page.html");
    EXPECT_EQ(evenhead("sheets case.toml -o own.html").status, 0);
    std::string own = content("own.html");
    EXPECT_NE(page.find("<a href=\"#sheets\">"), std::string::npos);
    const auto tables = [](const std::string& text, const std::string& from) {
        std::vector<std::string> found;
        for (auto at = text.find("<tbody>", text.find(from)); at != std::string::npos;
             at = text.find("<tbody>", at + 1))
            found.push_back(text.substr(at, text.find("</tbody>", at) - at));
        return found;
    };
    const auto here = tables(page, "id=\"sheet-pipes\""), there = tables(own, "id=\"pipes\"");
    ASSERT_GE(there.size(), 8U);
    ASSERT_GE(here.size(), there.size());
    for (std::size_t i = 0; i < there.size(); ++i) EXPECT_EQ(here[i], there[i]) << i;
    EXPECT_NE(evenhead("report case.toml --controller lawn -o page.html").errors.find("--sheets"),
              std::string::npos);
}

// What diagnose fits, the page does: a case that leaves a value open is no error where readings tell of it.
TEST_F(ReportTest, AnOpenValueIsFittedAsDiagnoseDoes) {
    write("open.toml", replaced(two_zones(), "lawn\", size = \"pvc-sch40 1\"",
                                "lawn\", size = \"pvc-sch40 1\", c = \"?\""));
    EXPECT_EQ(evenhead("report open.toml -o page.html").status, 2) << "nothing tells of it";
    const Ended ended = evenhead("report open.toml readings.csv --accept -o page.html");
    EXPECT_LT(ended.status, 2) << ended.errors;
    EXPECT_TRUE(has("What the readings say of the case"));
    EXPECT_TRUE(has("in place of each &quot;?&quot;") || has("in place of each \"?\""));
    EXPECT_TRUE(has("The readings could not be judged"));
}

TEST_F(ReportTest, WhatCannotBeAskedIsRefused) {
    Ended ended = evenhead("report case.toml --accept -o page.html");
    EXPECT_EQ(ended.status, 2);
    EXPECT_NE(ended.errors.find("has no readings to go by"), std::string::npos) << ended.errors;
    EXPECT_EQ(evenhead("report case.toml --compare absent.toml -o page.html").status, 2);
    EXPECT_EQ(evenhead("report case.toml --compare case.toml -o case.toml").status, 2);
    EXPECT_FALSE(exists("page.html"));
}

}  // namespace
}  // namespace evenhead::cli
