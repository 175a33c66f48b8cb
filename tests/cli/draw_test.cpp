// `draw` as a shell sees it.
#include "tests/cli/parks.hpp"

namespace evenhead::cli {
namespace {

TEST_F(ProgramTest, DrawWritesAPlanAndEndsAsCheckDoes) {
    write("good.toml", two_zones());
    const Ended good = evenhead("draw good.toml -o plan.svg");
    EXPECT_EQ(good.status, 0) << good.errors;
    EXPECT_EQ(good.output, "");
    EXPECT_EQ(content("plan.svg").rfind("<?xml", 0), 0U);
    EXPECT_EQ(evenhead("draw good.toml").output, content("plan.svg"));
    write("weak.toml", two_zones("", "65"));
    EXPECT_EQ(evenhead("draw weak.toml -o weak.svg").status, 1);
    EXPECT_NE(content("weak.svg").find("outside limits"), std::string::npos);
    write("twin.toml", no_one_balance);
    EXPECT_EQ(evenhead("draw twin.toml -o twin.svg").status, 3);
    EXPECT_NE(content("twin.svg").find("no solution"), std::string::npos);
    write("bad.toml", two_zones("unit = \"us\""));
    EXPECT_EQ(evenhead("draw bad.toml -o bad.svg").status, 2);
    EXPECT_FALSE(exists("bad.svg"));
}

TEST_F(ProgramTest, DrawTakesARunAWidthAndElevations) {
    write("case.toml", two_zones());
    const Ended run = evenhead("draw case.toml --run beds --width 390 --elevations");
    EXPECT_EQ(run.status, 0) << run.errors;
    EXPECT_NE(run.output.find("Run beds: within limits"), std::string::npos);
    EXPECT_NE(run.output.find("width=\"390\""), std::string::npos);
    EXPECT_NE(run.output.find("class=\"elevation\""), std::string::npos);
    EXPECT_NE(run.output.find("100.0 ft</text>"), std::string::npos);
    EXPECT_EQ(evenhead("draw case.toml --run bed").status, 2);
    EXPECT_EQ(evenhead("draw case.toml --width 10").status, 2);
    EXPECT_EQ(evenhead("draw case.toml -o case.toml").status, 2);
    EXPECT_EQ(content("case.toml"), two_zones());
}

TEST_F(ProgramTest, DrawIsTheSameOnAnyNumberOfThreadsAndInAnyLocale) {
    const std::string draw = "draw '" EVENHEAD_SOURCE_DIR "/cases/sports-park/case.toml' ";
    const std::string first = evenhead(draw + "--threads 1").output;
    EXPECT_EQ(evenhead(draw + "--threads 7").output, first);
    EXPECT_EQ(shell("export LC_ALL=de_DE.UTF-8; evenhead " + draw).output, first);
    EXPECT_GT(first.size(), 10000U);
}

}  // namespace
}  // namespace evenhead::cli
