// The plane against published geodesy; the round trips over whole cases are in tests/geo.
#include "io/geo/plane.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace evenhead::io {
namespace {

// WGS 84 (NGA.STND.0036): an arc second of latitude at the equator is 30.715 m, at the pole 31.031 m; of
// longitude at the equator 30.922 m (a pi / 648000).
TEST(TangentPlane, HasThePublishedLengthOfAnArcSecond) {
    const double second = 1.0 / 3600;
    EXPECT_NEAR((*TangentPlane(0, 0).to_metres({0, second}))[1], 30.715, 5e-4);
    EXPECT_NEAR((*TangentPlane(0, 0).to_metres({second, 0}))[0], 30.922, 5e-4);
    const auto at_45 = *TangentPlane(10, 45).to_metres({10, 45 + second});
    EXPECT_NEAR(at_45[1], 30.870, 5e-4);  // M = 6367381.8 m at 45 degrees
}

TEST(TangentPlane, GoesAndComesBackExactly) {
    for (const auto& origin : {std::array{-97.7, 30.3}, {151.2, -33.9}, {25.0, 70.1}, {0.0, 0.0}}) {
        const TangentPlane plane(origin[0], origin[1]);
        for (const auto& place : {std::array{0.0, 0.0}, {1234.5, -987.6}, {-40000.0, 20000.0}}) {
            const auto degrees = plane.to_degrees(place);
            ASSERT_TRUE(degrees);
            const auto back = plane.to_metres(*degrees);
            ASSERT_TRUE(back);
            EXPECT_NEAR((*back)[0], place[0], 2e-8);
            EXPECT_NEAR((*back)[1], place[1], 2e-8);
        }
    }
}

TEST(TangentPlane, EndsAtTheEdgeOfTheEarth) {
    EXPECT_FALSE(TangentPlane(0, 0).to_degrees({7e6, 0}));
    EXPECT_FALSE(TangentPlane(0, 0).to_metres({180, 0}));
}

}  // namespace
}  // namespace evenhead::io
