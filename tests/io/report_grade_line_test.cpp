#include "io/report/grade_line.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/io/write_sample.hpp"

namespace evenhead::io {
namespace {

using sample::ft;
using sample::gpm;
using sample::psi;
using solver::ElementKind;

/// Street at 100 ft, lawn and L1 at 110 ft; 50 ft of pipe before the meter, 30 ft to the valve, 20 ft to L1.
struct Garden : sample::Sample {
    Garden() {
        layout.elevation = {100 * ft, 100 * ft, 110 * ft, 100 * ft, 110 * ft, 110 * ft};
        const double lengths[] = {50, 30, 10, 20, 12};
        for (std::size_t i = 0; i < system.pipes.size(); ++i) system.pipes[i].length = {lengths[i] * ft, 0};
    }
    solver::Worksheet sheet() const {
        const double nan = std::nan("");
        solver::Worksheet sheet;
        sheet.run = 0;
        sheet.head = 0;
        const auto add = [&](const char* item, ElementKind kind, model::Index index, double change) {
            sheet.pressure += change * psi;
            sheet.lines.push_back(
                {item, {kind, index}, 3 * gpm, nan, nan, nan, change * psi, sheet.pressure});
        };
        add("static", ElementKind::supply, 0, 62);
        add("supply", ElementKind::supply, 0, -2);
        add("pipe", ElementKind::pipe, 0, -3);
        add("meter", ElementKind::device, 0, -4);
        add("pipe", ElementKind::pipe, 1, -1);
        add("fittings", ElementKind::pipe, 1, -0.5);
        add("elevation", ElementKind::pipe, 1, -4.33);
        add("valve", ElementKind::valve, 0, -2);
        add("pipe", ElementKind::pipe, 3, -1);
        sheet.wanted = 30 * psi;
        sheet.margin = sheet.pressure - sheet.wanted;
        return sheet;
    }
    GradeLine line() const { return find_grade_line({system, ShownUnits::of_text(system)}, layout, sheet()); }
};

// The height of 1 psi of water is 2.31 ft (62.4 lb/ft3; 144/62.4 = 2.308): common tables of hydraulics.
constexpr double feet_per_psi = 2.309;

TEST(GradeLine, FollowsLengthGroundAndPressure) {
    const GradeLine line = Garden().line();
    ASSERT_EQ(line.points.size(),
              7U);  // static, supply, pipe, meter, pipe with its fittings and rise, valve, pipe
    const double along[] = {0, 0, 50, 50, 80, 80, 100}, ground[] = {100, 100, 100, 100, 110, 110, 110},
                 pressure[] = {62, 60, 57, 53, 47.17, 45.17, 44.17};
    for (std::size_t i = 0; i < 7; ++i) {
        EXPECT_NEAR(line.points[i].along / ft, along[i], 1e-9) << i;
        EXPECT_NEAR(line.points[i].ground / ft, ground[i], 1e-9) << i;
        EXPECT_NEAR((line.points[i].grade - line.points[i].ground) / ft, pressure[i] * feet_per_psi, 0.1)
            << i;
    }
    EXPECT_NEAR(line.wanted / ft, 110 + 30 * feet_per_psi, 0.1);
}

TEST(GradeLine, RisingGroundTakesPressureButNoGrade) {
    const GradeLine line = Garden().line();
    // 10 ft of rise are 4.33 psi: the grade falls by friction and fittings alone, 1.5 psi.
    EXPECT_NEAR((line.points[3].grade - line.points[4].grade) / ft, 1.5 * feet_per_psi, 0.05);
}

TEST(GradeLine, GathersLossesAndLeavesTheGroundOut) {
    const GradeLine line = Garden().line();
    ASSERT_EQ(line.losses.size(), 7U);
    EXPECT_EQ(line.losses[3].words, "meter");
    EXPECT_NEAR(line.losses[3].change / psi, -4, 1e-9);
    EXPECT_EQ(line.losses[4].words, "pipe meter-lawn");
    EXPECT_NEAR(line.losses[4].change / psi, -1.5, 1e-9);
    EXPECT_NEAR(line.losses[4].along / ft, 65, 1e-9);
}

/// No two boxes touch, no leader runs through a label, nothing leaves the drawing.
void expect_clear(const std::vector<PlacedLabel>& placed, double right_end) {
    for (const PlacedLabel& one : placed) {
        EXPECT_GE(one.left, 0);
        EXPECT_LE(one.right, right_end);
        for (const PlacedLabel& other : placed) {
            if (one.loss == other.loss) continue;
            if (one.row == other.row) {
                EXPECT_TRUE(one.right <= other.left || other.right <= one.left);
            }
            if (one.row > other.row) {
                EXPECT_TRUE(one.leader <= other.left || one.leader >= other.right);
            }
        }
    }
}

TEST(GradeLine, PlacesLabelsClearOfEachOther) {
    for (const int rows : {1, 3, 6}) {
        for (unsigned seed = 1; seed < 40; ++seed) {
            GradeLine line;
            std::vector<double> widths, points;
            unsigned state = seed;
            const auto next = [&](unsigned below) {
                return static_cast<double>((state = state * 1103515245U + 12345U) / 65536U % below);
            };
            for (int i = 0; i < 14; ++i) {
                line.losses.push_back({0, 0, -next(900) - 1, ""});
                widths.push_back(40 + next(140));
                points.push_back(i % 3 == 2 && i > 0 ? points.back() : 50 + next(700));
            }
            const auto placed = place_labels(line, widths, points, 900, rows);
            EXPECT_FALSE(placed.empty());
            expect_clear(placed, 900);
        }
    }
}

TEST(GradeLine, KeepsTheLargestLossWhereThereIsRoomForOne) {
    GradeLine line;
    line.losses = {{0, 0, -1, ""}, {0, 0, -9, ""}, {0, 0, 5, ""}};
    const auto placed = place_labels(line, {200, 200, 200}, {100, 110, 120}, 330, 1);
    ASSERT_EQ(placed.size(), 1U);
    EXPECT_EQ(placed[0].loss, 1U);
}

TEST(GradeLine, DrawsWordsOfTheCaseAsText) {
    Garden garden;
    garden.system.points[4].id = "<b>&";
    const std::string text = sample::written([&](Output& output) {
        Html html(output);
        const Speaker speaker{garden.system, ShownUnits::of_text(garden.system)};
        draw_grade_line(html, speaker, garden.sheet(), garden.line(), 340, "narrow");
    });
    EXPECT_EQ(text.find("<b>"), std::string::npos);
    EXPECT_NE(text.find("&lt;b&gt;&amp;"), std::string::npos);
    EXPECT_NE(text.find("gets 44.2 psi"), std::string::npos);
    EXPECT_NE(text.find("needs 30 psi"), std::string::npos);
}

}  // namespace
}  // namespace evenhead::io
