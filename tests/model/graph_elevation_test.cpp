// Elevations by the rule of the case format: own, ground, nearest along the pipes, 0.
#include <gtest/gtest.h>

#include <cmath>

#include "model/graph.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::test {
namespace {

using model::Layout;
using model::Quantity;

TEST(GraphElevation, OwnElseGround) {
    SystemBuilder b;
    b.supply("S");
    b.line({"S", "A", "B"});
    b.at("A").elevation = Quantity{12, 0};
    b.system.ground = Quantity{30, 0};
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(layout.elevation, (std::vector<double>{30, 12, 30}));
    EXPECT_TRUE(layout.assumptions.empty());
}

TEST(GraphElevation, WithoutGroundTheNearestAlongThePipes) {
    SystemBuilder b;
    b.supply("S");
    b.pipe("S", "A", 10);
    b.pipe("A", "B", 4);
    b.pipe("B", "C", 7);
    b.pipe("S", "C", 100);
    b.at("S").elevation = Quantity{5, 0};
    b.at("C").elevation = Quantity{9, 0};
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(layout.elevation, (std::vector<double>{5, 5, 9, 9}));  // A: 10 to S, 11 to C; B: 14 and 7
    ASSERT_EQ(layout.assumptions.size(), 2u);
    EXPECT_EQ(layout.assumptions[0].subject, "A");
    EXPECT_EQ(layout.assumptions[0].number, 5);
    EXPECT_EQ(layout.assumptions[1].subject, "B");
}

TEST(GraphElevation, OfTwoEquallyNearTheLowerInWhateverOrder) {
    for (const bool swapped : {false, true}) {
        SystemBuilder b;
        b.supply("S");
        swapped ? b.pipe("M", "H", 3) : b.pipe("S", "M", 3);
        swapped ? b.pipe("S", "M", 3) : b.pipe("M", "H", 3);
        b.at("S").elevation = Quantity{2, 0};
        b.at("H").elevation = Quantity{8, 0};
        EXPECT_EQ(find_layout(b.system).elevation[static_cast<std::size_t>(b.point("M"))], 2);
    }
}

TEST(GraphElevation, NothingGivenAnywhereIsZeroAndSaidOnce) {
    SystemBuilder b;
    b.supply("S");
    b.line({"S", "A", "B"});
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(layout.elevation, (std::vector<double>{0, 0, 0}));
    ASSERT_EQ(layout.assumptions.size(), 1u);
    EXPECT_EQ(layout.assumptions[0].subject, "all points");
}

TEST(GraphElevation, AQuestionMarkStaysUnknownAndLendsNothing) {
    SystemBuilder b;
    b.supply("S");
    b.line({"S", "A", "B"});
    b.at("S").elevation = Quantity{5, 0};
    b.at("B").elevation = Quantity{};
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(layout.elevation[1], 5);
    EXPECT_TRUE(std::isnan(layout.elevation[2]));
}

}  // namespace
}  // namespace evenhead::test
