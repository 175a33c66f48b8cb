// Surveys by hand: what meets, what does not, and which way water passes a valve.
#include "model/survey/joining.hpp"

#include <gtest/gtest.h>

namespace evenhead::model {
namespace {

SurveyPoint point(const std::string& id, PointKind kind, double x, double y) {
    SurveyPoint made;
    made.id = id;
    made.kind = kind;
    made.directed = kind == PointKind::valve || kind == PointKind::device;
    made.has_place = true;
    made.place = {x, y};
    return made;
}

SurveyLine line(const std::string& id, std::vector<SurveyPlace> way) {
    return {id, std::move(way), none, none};
}

/// "a-b" of every pipe.
std::vector<std::string> names(const JoinedSurvey& joined) {
    std::vector<std::string> all;
    for (const JoinedPipe& pipe : joined.pipes)
        all.push_back(joined.points[static_cast<std::size_t>(pipe.from)].id + "-" +
                      joined.points[static_cast<std::size_t>(pipe.to)].id);
    return all;
}
using Names = std::vector<std::string>;

TEST(Joining, EndsMeetThePointThatIsNearest) {
    const Survey survey{{point("S", PointKind::supply, 0, 0), point("H", PointKind::head, 10, 0),
                         point("I", PointKind::head, 10.09, 0)},
                        {line("a", {{0.05, 0}, {5, 5}, {10.03, 0.01}})}};
    const JoinedSurvey joined = join_survey(survey, 0.1);
    EXPECT_EQ(names(joined), Names{"S-H"});
    EXPECT_EQ(joined.pipes[0].bends, (std::vector<SurveyPlace>{{5, 5}}));
    EXPECT_EQ(joined.snapped, 2U);
    EXPECT_NEAR(joined.farthest_snap, 0.05, 1e-12);
    ASSERT_EQ(joined.twins.size(), 1U);  // two heads within the snap
    EXPECT_NEAR(joined.twins[0].distance, 0.09, 1e-12);
}

TEST(Joining, EndsWithoutAPointMeetInAJoint) {
    const Survey survey{
        {point("S", PointKind::supply, 0, 0), point("H", PointKind::head, 20, 0),
         point("I", PointKind::head, 10, 10), point("J1", PointKind::plain, 50, 50)},
        {line("a", {{0, 0}, {10, 0}}), line("b", {{10.05, 0}, {20, 0}}), line("c", {{10, 0.05}, {10, 10}})}};
    const JoinedSurvey joined = join_survey(survey, 0.1);
    EXPECT_EQ(names(joined), (Names{"S-J2", "J2-H", "J2-I"}));  // the name J1 is taken
    ASSERT_EQ(joined.gaps.size(), 1U);
    EXPECT_EQ(joined.gaps[0].kind, SurveyGap::Kind::point_off);
}

TEST(Joining, AnEndOnTheMiddleOfALinePartsIt) {
    const Survey survey{{point("S", PointKind::supply, 0, 0), point("H", PointKind::head, 20, 0),
                         point("I", PointKind::head, 8, 10)},
                        {line("main", {{0, 0}, {5, 0}, {20, 0}}), line("branch", {{8, 0.06}, {8, 10}})}};
    const JoinedSurvey joined = join_survey(survey, 0.1);
    EXPECT_EQ(names(joined), (Names{"S-J1", "J1-H", "J1-I"}));
    EXPECT_FALSE(joined.pipes[0].whole);
    EXPECT_TRUE(joined.pipes[2].whole);
    EXPECT_EQ(joined.pipes[0].bends.size(), 1U);
    EXPECT_EQ(joined.joints, 1U);
    const SurveyPoint& joint = joined.points.back();
    EXPECT_NEAR(joint.place[0], 8, 1e-12);  // on the line, not where the branch was shot
    EXPECT_NEAR(joint.place[1], 0, 1e-12);
}

TEST(Joining, HeadsAlongALinePartItInItsOrder) {
    const Survey survey{{point("S", PointKind::supply, 0, 0), point("C", PointKind::head, 30, 0.02),
                         point("A", PointKind::head, 10, 0), point("B", PointKind::head, 20, -0.05)},
                        {line("a", {{0, 0}, {30, 0}})}};
    EXPECT_EQ(names(join_survey(survey, 0.1)), (Names{"S-A", "A-B", "B-C"}));
}

TEST(Joining, LinesThatCrossAreNotJoined) {
    const Survey survey{{point("S", PointKind::supply, 0, 0), point("H", PointKind::head, 20, 0),
                         point("T", PointKind::supply, 10, -10), point("I", PointKind::head, 10, 10)},
                        {line("a", {{0, 0}, {20, 0}}), line("b", {{10, -10}, {10, 10}})}};
    EXPECT_EQ(names(join_survey(survey, 0.1)), (Names{"S-H", "T-I"}));
}

TEST(Joining, EndsThatNearlyMeetAreReportedWithTheirDistance) {
    const Survey survey{{point("S", PointKind::supply, 0, 0), point("H", PointKind::head, 20, 0)},
                        {line("a", {{0, 0}, {10, 0}}), line("b", {{10.4, 0.3}, {20, 0}})}};
    const JoinedSurvey joined = join_survey(survey, 0.1);
    EXPECT_EQ(names(joined), (Names{"S-J1", "J2-H"}));
    ASSERT_EQ(joined.gaps.size(), 2U);
    EXPECT_EQ(joined.gaps[0].kind, SurveyGap::Kind::loose_end);
    EXPECT_NEAR(joined.gaps[0].distance, 0.5, 1e-12);  // 3-4-5
    EXPECT_EQ(names(join_survey(survey, 0.51)), (Names{"S-J1", "J1-H"}));
}

TEST(Joining, WaterEntersAValveFromTheSupplysSide) {
    // All lines are drawn against the water, and the zone lies nearer to the supply than the valve does.
    const Survey survey{{point("S", PointKind::supply, 0, 0), point("V", PointKind::valve, 30, 0),
                         point("H", PointKind::head, 5, 1)},
                        {line("main", {{30, 0}, {0, 0}}), line("lateral", {{5, 1}, {20, 1}, {30, 0}})}};
    const JoinedSurvey joined = join_survey(survey, 0.1);
    EXPECT_EQ(names(joined), (Names{"S-V", "V-H"}));
    EXPECT_EQ(joined.turned, 2U);
    EXPECT_TRUE(joined.undirected.empty());
}

TEST(Joining, ADeviceWithinARingIsLeftAsDrawnAndReported) {
    const Survey survey{
        {point("S", PointKind::supply, 0, 0), point("R", PointKind::device, 10, 10)},
        {line("one", {{0, 0}, {10, 0}, {10, 10}}), line("other", {{10, 10}, {0, 10}, {0, 0}})}};
    EXPECT_EQ(join_survey(survey, 0.1).undirected.size(), 1U);
}

TEST(Joining, ALineThatNamesItsEndsIsLeftWhole) {
    Survey survey{{point("S", PointKind::supply, 0, 0), point("H", PointKind::head, 20, 0),
                   point("T", PointKind::plain, 10, 0)},
                  {line("a", {{0, 0}, {20, 0}})}};
    survey.lines[0].from = 1;
    survey.lines[0].to = 0;
    const JoinedSurvey joined = join_survey(survey, 0.1);
    EXPECT_EQ(names(joined), Names{"H-S"});
    ASSERT_EQ(joined.gaps.size(),
              3U);  // both ends lie 20 m from what they name; T lies on nothing that ends there
    EXPECT_EQ(joined.gaps[0].kind, SurveyGap::Kind::far_end);
    EXPECT_NEAR(joined.gaps[0].distance, 20, 1e-12);
}

}  // namespace
}  // namespace evenhead::model
