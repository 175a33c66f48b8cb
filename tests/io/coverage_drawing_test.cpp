// What the picture of even watering is made of: lines of equal value against circles in closed form, and
// colours brought back to OKLab by the published forward matrices.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "io/report/contours.hpp"
#include "io/report/water_colours.hpp"

namespace evenhead::io {
namespace {

constexpr double pi = std::numbers::pi;

template <class Value>
NodeGrid grid_of(int columns, int rows, const Value& value) {
    NodeGrid grid{columns, rows, {}};
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) grid.values.push_back(value(column, row));
    return grid;
}

/// Positive where the ring runs anticlockwise (columns to the right, rows upwards).
double area(const ContourRing& ring) {
    double sum = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const auto &one = ring[i], &other = ring[(i + 1) % ring.size()];
        sum += (one[0] * other[1] - other[0] * one[1]) / 2;
    }
    return sum;
}

// A cone of height 20 on the middle: at 8 a circle of radius 12.
TEST(Contours, ACircle) {
    const NodeGrid cone = grid_of(61, 61, [](int x, int y) { return 20 - std::hypot(x - 30, y - 30); });
    const auto rings = contour_rings(cone, 8);
    ASSERT_EQ(rings.size(), 1U);
    EXPECT_NEAR(area(rings[0]), pi * 144, 1);
    for (const auto& [x, y] : rings[0]) EXPECT_NEAR(std::hypot(x - 30, y - 30), 12, 0.02);
    const ContourRing fewer = thinned(rings[0], 0.1);
    EXPECT_LT(fewer.size(), rings[0].size() / 2);
    EXPECT_NEAR(area(fewer), pi * 144, 6);
    EXPECT_TRUE(contour_rings(cone, 30).empty());
}

// A wall round a yard: an outer ring and a hole the other way round.
TEST(Contours, AHole) {
    const NodeGrid wall =
        grid_of(61, 61, [](int x, int y) { return 10 - std::abs(std::hypot(x - 30, y - 30) - 15); });
    const auto rings = contour_rings(wall, 5);
    ASSERT_EQ(rings.size(), 2U);
    EXPECT_NEAR(area(rings[0]) + area(rings[1]), pi * (400 - 100), 2);
    EXPECT_LT(std::min(area(rings[0]), area(rings[1])), 0);
}

// Level ground above the level is closed along the edge of the grid.
TEST(Contours, ClosedAtTheEdge) {
    const auto rings = contour_rings(grid_of(5, 4, [](int, int) { return 1.0; }), 0.5);
    ASSERT_EQ(rings.size(), 1U);
    EXPECT_NEAR(area(rings[0]), 4 * 3, 1e-6);
}

// Two high corners across: joined where the mean is high, apart where it is not.
TEST(Contours, ASaddle) {
    const auto saddle = [](double low) {
        return grid_of(2, 2, [low](int x, int y) { return x == y ? 10.0 : low; });
    };
    EXPECT_EQ(contour_rings(saddle(3), 5).size(), 1U);
    EXPECT_EQ(contour_rings(saddle(-3), 5).size(), 2U);
}

struct Lab {
    double L, a, b;
};

// Bjorn Ottosson, A perceptual color space for image processing (2020): linear sRGB to OKLab.
Lab oklab(const std::array<int, 3>& colour) {
    double linear[3];
    for (std::size_t i = 0; i < 3; ++i) {
        const double v = colour[i] / 255.0;
        linear[i] = v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
    }
    const double l =
        std::cbrt(0.4122214708 * linear[0] + 0.5363325363 * linear[1] + 0.0514459929 * linear[2]);
    const double m =
        std::cbrt(0.2119034982 * linear[0] + 0.6806995451 * linear[1] + 0.1073969566 * linear[2]);
    const double s =
        std::cbrt(0.0883024619 * linear[0] + 0.2817188376 * linear[1] + 0.6299787005 * linear[2]);
    return {0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s,
            1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s,
            0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s};
}

TEST(WaterColours, EvenStepsOfOneHue) {
    for (const bool dark : {false, true}) {
        const double step =
            (oklab(water_colour(water_colours - 1, dark)).L - oklab(water_colour(0, dark)).L) /
            (water_colours - 1);
        EXPECT_GT(std::abs(step), 0.03);
        for (int k = 0; k < water_colours; ++k) {
            const Lab of = oklab(water_colour(k, dark));
            EXPECT_NEAR(of.L, oklab(water_colour(0, dark)).L + step * k, 0.006) << k;
            if (std::hypot(of.a, of.b) < 0.03) continue;  // too pale to have a hue
            EXPECT_NEAR(std::atan2(of.b, of.a) * 180 / pi + 360, 242, 6) << k << dark;
        }
    }
    EXPECT_NE(water_colour_style().find(".water .w16"), std::string::npos);
}

}  // namespace
}  // namespace evenhead::io
