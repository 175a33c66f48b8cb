// Even watering against what is known without any grid: published cans, integrals in closed form, and sums
// over points by the bare formula of a wedge. Whole layouts are found a second time by NumPy in
// tests/coverage/.
#include "solver/coverage/coverage.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solver/coverage/cans.hpp"
#include "solver/coverage/ground.hpp"
#include "solver/coverage/throw.hpp"
#include "solver/coverage/uniformity.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

using solver::LeftOut;
using solver::Place;
using solver::Throw;
using solver::ThrowNumbers;
using solver::Uncovered;
using solver::ZoneCoverage;

constexpr double pi = std::numbers::pi;

std::vector<solver::Depth> alike(std::initializer_list<double> depths) {
    std::vector<solver::Depth> places;
    for (const double depth : depths) places.push_back({depth, 1});
    return places;
}

// A worked answer to a question of the Graduate Aptitude Test in Engineering (agricultural engineering): ten
// cans with 12 15 14 18 16 14 13 17 15 16 mm, mean 15, sum of the deviations 14, uniformity coefficient 90.67
// %. The lowest quarter are two cans and a half: (12 + 13 + 14 / 2) / 2.5 / 15.
TEST(Uniformity, PublishedCans) {
    const solver::Uniformity of = solver::uniformity(alike({12, 15, 14, 18, 16, 14, 13, 17, 15, 16}));
    EXPECT_DOUBLE_EQ(of.mean, 15);
    EXPECT_NEAR(of.cu, 1 - 14.0 / 150, 1e-12);
    EXPECT_NEAR(of.du_lq, 12.8 / 15, 1e-12);
}

// A depth with the weight of three counts as three depths.
TEST(Uniformity, Weights) {
    const solver::Uniformity one = solver::uniformity({{2, 3}, {5, 1}, {4, 4}});
    const solver::Uniformity other = solver::uniformity(alike({2, 2, 2, 5, 4, 4, 4, 4}));
    EXPECT_DOUBLE_EQ(one.mean, other.mean);
    EXPECT_NEAR(one.du_lq, other.du_lq, 1e-12);
    EXPECT_NEAR(one.cu, other.cu, 1e-12);
    EXPECT_TRUE(std::isnan(solver::uniformity(alike({0, 0})).du_lq));
    EXPECT_TRUE(std::isnan(solver::uniformity({}).mean));
}

/// Sum over points a hundredth of the radius apart.
double landed(const Throw& thrown) {
    const ThrowNumbers& of = thrown.numbers();
    const double step = of.radius / 100;
    double sum = 0;
    for (double x = -of.radius + step / 2; x < of.radius; x += step)
        for (double y = -of.radius + step / 2; y < of.radius; y += step)
            sum += thrown.rate(of.x + x, of.y + y) * step * step;
    return sum;
}

TEST(Throw, AllOfTheFlowLandsInTheArc) {
    const std::vector<std::vector<std::array<double, 2>>> shapes = {
        {}, {{0, 0.4}, {0.5, 1}, {1, 0.1}}, {{0.2, 1}, {1, 1}}, {{0, 2}, {0.8, 0.5}}, {{1, 3}}};
    for (const auto& shape : shapes)
        for (const double arc : {360.0, 270.0, 180.0, 90.0, 47.0}) {
            const Throw thrown({3, -2, 8, 2e-4, arc, 33}, shape);
            EXPECT_NEAR(landed(thrown), 2e-4, 2e-4 * 0.004) << arc << " " << shape.size();
            EXPECT_NEAR(thrown.wetted_area(), arc / 360 * pi * 64, 1e-9);
        }
}

// A cone: c = 3 Q / (pi R^2) at the head, half of it half way out.
TEST(Throw, AWedgeIsACone) {
    const Throw thrown({0, 0, 10, 1e-3, 360, 0}, {});
    const double top = 3 * 1e-3 / (pi * 100);
    EXPECT_NEAR(thrown.rate(0, 0), top, 1e-15);
    EXPECT_NEAR(thrown.rate(3, -4), top / 2, 1e-15);
    EXPECT_EQ(thrown.rate(8, 7), 0);
}

// Facing is a bearing: 90 degrees is east, and the arc reaches as far to either side.
TEST(Throw, Bearings) {
    const Throw east({0, 0, 10, 1e-3, 90, 90}, {});
    EXPECT_GT(east.rate(5, 0), 0);
    EXPECT_GT(east.rate(5, 4.9), 0);
    EXPECT_EQ(east.rate(4.9, 5), 0);
    EXPECT_EQ(east.rate(-5, 0), 0);
    const Throw most({0, 0, 10, 1e-3, 300, 180}, {});  // dry only within 30 degrees of north
    EXPECT_EQ(most.rate(0, 5), 0);
    EXPECT_EQ(most.rate(2.8, 5), 0);
    EXPECT_GT(most.rate(3, 5), 0);
    EXPECT_GT(most.rate(0, -5), 0);
}

TEST(Throw, AShapeThatDropsAllInOnePoint) {
    EXPECT_FALSE(Throw::waters({{0, 1}}));
    EXPECT_TRUE(Throw::waters({{1, 1}}));
    EXPECT_TRUE(Throw::waters({}));
}

model::Area area_of(std::vector<std::array<double, 2>> outline) {
    model::Area area;
    area.valve = 0;
    area.outline = std::move(outline);
    return area;
}

double cell_area(const solver::CellGrid& grid) {
    double sum = 0;
    for (const solver::Piece& piece : grid.pieces) sum += piece.ground.area;
    return sum;
}

// Four bars round a yard: 12 x 12 less 8 x 8. Either direction of the corners is right.
TEST(Ground, OverlapsCountOnceAndHolesNot) {
    const model::Area south = area_of({{0, 0}, {12, 0}, {12, 2}, {0, 2}});
    const model::Area north = area_of({{0, 10}, {0, 12}, {12, 12}, {12, 10}});
    const model::Area west = area_of({{0, 0}, {2, 0}, {2, 12}, {0, 12}});
    const model::Area east = area_of({{10, 0}, {10, 12}, {12, 12}, {12, 0}, {10, 0}});
    const auto ground = solver::ground_of_outlines({&south, &north, &west, &east});
    ASSERT_TRUE(ground);
    EXPECT_NEAR(ground->area, 144 - 64, 1e-9);
    EXPECT_TRUE(holds(*ground, {1, 6}));
    EXPECT_FALSE(holds(*ground, {6, 6}));
    EXPECT_FALSE(holds(*ground, {13, 6}));
    for (const double side : {0.37, 1.0, 5.0})
        EXPECT_NEAR(cell_area(cut_into_cells(*ground, side)), 80, 1e-6) << side;
}

TEST(Ground, AnOutlineThatCrossesItself) {
    const model::Area bow = area_of({{0, 0}, {10, 10}, {10, 0}, {0, 10}});
    const model::Area line = area_of({{0, 0}, {5, 0}, {10, 0}});
    EXPECT_FALSE(solver::ground_of_outlines({&bow}));
    EXPECT_FALSE(solver::ground_of_outlines({&line}));
}

TEST(Ground, HullOfPlaces) {
    const auto hull = solver::ground_of_hull({{0, 0}, {4, 0}, {4, 3}, {2, 1}, {0, 3}});
    ASSERT_TRUE(hull);
    EXPECT_NEAR(hull->area, 12, 1e-12);
    EXPECT_FALSE(solver::ground_of_hull({{0, 0}, {1, 1}, {2, 2}, {3, 3}}));
}

// A triangle cut at its middle: moments of the halves by hand.
TEST(Ground, Moments) {
    const solver::Ring triangle = {{0, 0}, {6, 0}, {0, 6}};
    const solver::Moments all = solver::moments(triangle);
    EXPECT_NEAR(all.area, 18, 1e-12);
    EXPECT_NEAR(all.middle()[0], 2, 1e-12);
    EXPECT_NEAR(all.middle()[1], 2, 1e-12);
    const solver::Moments right = solver::moments(solver::cut(triangle, 1, 0, 3));
    EXPECT_NEAR(right.area, 4.5, 1e-12);
    EXPECT_NEAR(right.middle()[0], 4, 1e-12);
    EXPECT_NEAR(right.middle()[1], 1, 1e-12);
}

/// Heads behind one valve that all see the static pressure: pipes and valve take nothing to speak of.
struct Zone {
    SystemBuilder b;

    explicit Zone(double pressure = 300e3) {
        b.system.ground = model::Quantity{0, 0};
        b.supply("S", pressure);
        b.valve("V", 1e6);
        b.line({"S", "V"}, 0, 1);
        b.nozzle(300e3, 1e-4);
        b.system.nozzles[0].radius = {{10, 0}};
        b.system.nozzles[0].design = model::Quantity{300e3, 0};
    }
    model::Head& head(const std::string& id, double x, double y, double arc = 360, double facing = 0) {
        model::Head& made = b.head(id);
        b.at(id).x = model::Quantity{x, 0};
        b.at(id).y = model::Quantity{y, 0};
        made.arc = model::Quantity{arc, 0};
        made.facing = model::Quantity{facing, 0};
        b.line({"V", id}, 0, 1);
        return made;
    }
    ZoneCoverage cover(double grid = 0, int threads = 1) {
        if (b.system.runs.empty()) b.default_runs();
        return solver::cover(b.system, find_layout(b.system), {grid, threads}).front();
    }
};

/// Quarter circles in the corners of a square of the throw: everything lands inside.
Zone square() {
    Zone zone;
    zone.head("A", 0, 0, 90, 45);
    zone.head("B", 10, 0, 90, 315);
    zone.head("C", 10, 10, 90, 225);
    zone.head("D", 0, 10, 90, 135);
    return zone;
}

TEST(Coverage, AllLandsInsideTheSquare) {
    const ZoneCoverage zone = square().cover();
    ASSERT_TRUE(zone.covered());
    EXPECT_NEAR(zone.area, 100, 1e-9);
    EXPECT_NEAR(zone.flow, 4e-4, 4e-8);
    EXPECT_NEAR(zone.rate_formula, 4e-6, 4e-10);
    EXPECT_NEAR(zone.rate, 4e-6, 4e-6 * 0.001);
    EXPECT_NEAR(zone.lost, 0, 0.001);
    EXPECT_NEAR(zone.side, 0.5, 1e-12);
    // In the middle four wedges of 1 - sqrt(1/2).
    const double top = 6 * 1e-4 / (pi / 2 * 100);
    EXPECT_NEAR(zone.rate_at(5, 5), 4 * top * (1 - std::sqrt(0.5)), 1e-9);
    ASSERT_EQ(zone.heads.size(), 4U);
    EXPECT_NEAR(zone.heads[0].spacing(), 1, 1e-9);
    EXPECT_NEAR(zone.matched_difference(), 0, 1e-9);
    EXPECT_NEAR(zone.uniform_du_lq, zone.du_lq, 1e-6);
}

// The same square summed over 500 x 500 points by the bare formula of the wedge.
TEST(Coverage, UniformityOfTheSquareByPoints) {
    const ZoneCoverage zone = square().cover();
    std::vector<double> depths;
    constexpr int points = 500;
    for (int i = 0; i < points; ++i)
        for (int j = 0; j < points; ++j) {
            const double x = (i + 0.5) / points, y = (j + 0.5) / points;
            double sum = 0;
            for (const double a : {0.0, 1.0})
                for (const double b : {0.0, 1.0}) sum += std::max(1 - std::hypot(x - a, y - b), 0.0);
            depths.push_back(sum);
        }
    double mean = 0, off = 0, low = 0;
    for (const double depth : depths) mean += depth / static_cast<double>(depths.size());
    for (const double depth : depths) off += std::abs(depth - mean) / static_cast<double>(depths.size());
    std::sort(depths.begin(), depths.end());
    const std::size_t quarter = depths.size() / 4;
    for (std::size_t i = 0; i < quarter; ++i) low += depths[i] / static_cast<double>(quarter);
    EXPECT_NEAR(zone.cu, 1 - off / mean, 0.001);
    EXPECT_NEAR(zone.du_lq, low / mean, 0.001);
}

// A full circle in the middle of a long edge: half of it lands outside, whatever the grid.
TEST(Coverage, HalfIsLost) {
    Zone zone;
    zone.head("A", 0, 0);
    const model::Area lawn = area_of({{-20, 0}, {20, 0}, {20, 30}, {-20, 30}});
    zone.b.system.areas.push_back(lawn);
    for (const double grid : {0.0, 0.25, 0.73}) {
        const ZoneCoverage found = zone.cover(grid);
        ASSERT_TRUE(found.covered());
        EXPECT_NEAR(found.lost, 0.5, 0.001) << grid;
        EXPECT_NEAR(found.rate, 0.5e-4 / 1200, 0.5e-4 / 1200 * 0.002);
        EXPECT_NEAR(found.rate_formula, 1e-4 / 1200, 1e-10);
        EXPECT_EQ(found.areas, std::vector<Index>{0});
    }
}

// Water within an arc and beside a slanting edge, by Green's theorem: with F(r) = integral of (1 - s) s ds,
// the water of a cone on a triangle with one corner at the head is the integral of F(distance of the far
// side) over the angle.
TEST(Coverage, WaterOnATriangleInClosedForm) {
    Zone zone;
    zone.head("A", 0, 0);
    zone.b.system.areas.push_back(area_of({{0, 0}, {8, 1}, {2, 9}}));
    const ZoneCoverage found = zone.cover();
    ASSERT_TRUE(found.covered());
    const auto within = [](double r) { return r * r / 2 - r * r * r / 3; };
    const double low = std::atan2(1, 8), high = std::atan2(9, 2);
    constexpr int steps = 20000;
    double integral = 0;
    for (int i = 0; i < steps; ++i) {
        const double angle = low + (i + 0.5) / steps * (high - low);
        // The far side: (8, 1) + t (-6, 8), met by the ray (cos, sin).
        const double far = (8.0 * 8 + 6.0 * 1) / (8 * std::cos(angle) + 6 * std::sin(angle));
        integral += within(std::min(far / 10, 1.0)) * (high - low) / steps;
    }
    const double inside = integral / (2 * pi / 6);  // of the whole cone
    EXPECT_NEAR(1 - found.lost, inside, 0.001 * inside);
}

TEST(Coverage, HalfTheGridChangesNothing) {
    Zone zone;
    zone.head("A", 0, 0, 100, 40);
    zone.head("B", 13, 1, 200, 300);
    zone.head("C", 12, 14, 121, 225);
    zone.head("D", -1, 12, 77, 130);
    zone.head("E", 6, 7);
    const ZoneCoverage coarse = zone.cover(), fine = zone.cover(coarse.side / 2);
    EXPECT_NEAR(coarse.rate, fine.rate, 0.005 * fine.rate);
    EXPECT_NEAR(coarse.du_lq, fine.du_lq, 0.005 * fine.du_lq);
    EXPECT_NEAR(coarse.cu, fine.cu, 0.005 * fine.cu);
    EXPECT_NEAR(coarse.lost, fine.lost, 0.005);
    ASSERT_FALSE(fine.driest.empty());
    for (const solver::DryPlace& place : fine.driest)
        EXPECT_NEAR(fine.rate_at(place.x, place.y) / fine.rate, place.depth, 0.05);
}

TEST(Coverage, LeftOutAndWhy) {
    Zone zone = square();
    zone.head("no-facing", 5, 5, 180).facing = {};
    zone.head("no-arc", 5, 6).arc = model::Quantity{};
    zone.b.head("no-place", 0);
    zone.b.line({"V", "no-place"}, 0, 1);
    const Index bare = zone.b.nozzle(300e3, 1e-4), point = zone.b.nozzle(300e3, 1e-4);
    zone.b.system.nozzles.back().shape = {{0, 1}};
    zone.b.system.nozzles.back().radius = {{10, 0}};
    zone.head("no-radius", 4, 4).nozzle = bare;
    zone.head("no-shape", 4, 5).nozzle = point;
    const ZoneCoverage found = zone.cover();
    ASSERT_TRUE(found.covered());
    EXPECT_EQ(found.heads.size(), 4U);
    std::vector<LeftOut::Why> whys;
    for (const LeftOut& row : found.left_out) whys.push_back(row.why);
    EXPECT_EQ(whys, (std::vector{LeftOut::Why::no_facing, LeftOut::Why::no_arc, LeftOut::Why::no_coordinates,
                                 LeftOut::Why::no_radius, LeftOut::Why::no_shape}));
    // Their water is in the formula, and nowhere on the ground.
    EXPECT_NEAR(found.rate_formula, 9e-6, 1e-9);
    EXPECT_NEAR(found.rate, 4e-6, 4e-6 * 0.001);
    EXPECT_NEAR(found.lost, 0, 0.001);
}

TEST(Coverage, NoFiguresAndWhy) {
    Zone two;
    two.head("A", 0, 0);
    two.head("B", 9, 0);
    EXPECT_EQ(two.cover().why_none, Uncovered::few_heads);
    EXPECT_TRUE(std::isnan(two.cover().rate));
    Zone line = two;
    line.head("C", 20, 0);
    EXPECT_EQ(line.cover().why_none, Uncovered::in_line);
    Zone bow = square();
    bow.b.system.areas.push_back(area_of({{0, 0}, {10, 10}, {10, 0}, {0, 10}}));
    EXPECT_EQ(bow.cover().why_none, Uncovered::bad_outline);
    Zone shut = square();
    shut.b.system.runs.push_back({"other", {}, true, {}});
    EXPECT_EQ(shut.cover().why_none, Uncovered::no_run);
    EXPECT_EQ(square().cover(1e-4).why_none, Uncovered::too_many_cells);
    EXPECT_EQ(square().cover(5.1).why_none, Uncovered::too_wide_cells);
    Zone nobody = square();
    nobody.b.system.nozzles[0].radius.clear();
    EXPECT_EQ(nobody.cover().why_none, Uncovered::no_heads);
    EXPECT_NEAR(nobody.cover().rate_formula, 4e-6, 1e-9);
}

// Heads that stand lower get more: at design pressure the layout is the even square again.
TEST(Coverage, PressureAndSpacingToldApart) {
    Zone zone = square();
    zone.b.system.nozzles[0].rows = {{{100e3, 0}, {0.6e-4, 0}}, {{300e3, 0}, {1e-4, 0}}};
    zone.b.system.nozzles[0].radius = {{8, 0}, {10, 0}};
    zone.b.at("A").elevation = model::Quantity{20, 0};
    const ZoneCoverage uneven = zone.cover(), even = square().cover();
    EXPECT_LT(uneven.du_lq, even.du_lq - 0.02);
    EXPECT_NEAR(uneven.uniform_du_lq, even.du_lq, 0.003);  // on cells of a smaller throw
    EXPECT_NEAR(uneven.uniform_cu, even.cu, 0.003);
    EXPECT_TRUE(uneven.all_have_design);
    EXPECT_GT(uneven.matched_difference(), 0.02);
    zone.b.system.nozzles[0].design = {};
    EXPECT_FALSE(zone.cover().all_have_design);
}

// The run that opens the valve gives the pressure: here both valves, and the second takes from the first.
TEST(Coverage, PressuresOfTheRun) {
    Zone zone = square();
    zone.b.system.pipes[0].size.edit().bore = {0.02, 0};
    zone.b.system.pipes[0].length = {50, 0};
    zone.b.valve("W", 1e6);
    zone.b.pipe("S", "W", 0, 1);
    zone.b.head("X");
    zone.b.pipe("W", "X", 0, 1);
    zone.b.system.runs = {{"both", {0, 1}, true, {}}, {"alone", {0}, true, {}}};
    const ZoneCoverage found = zone.cover();
    EXPECT_EQ(found.run, 0);
    const auto result = solver::cover(zone.b.system, find_layout(zone.b.system), {0, 2});
    ASSERT_EQ(result.size(), 2U);
    EXPECT_EQ(result[1].why_none, Uncovered::few_heads);
    EXPECT_EQ(result[0].du_lq, found.du_lq);
}

TEST(CatchCans, MeasuredBesideComputed) {
    Zone of = square();
    const std::vector<ZoneCoverage> zones = {of.cover()};
    std::vector<solver::CatchCan> cans;
    for (const double rate : {12.0, 15.0, 14.0, 18.0, 16.0, 14.0, 13.0, 17.0, 15.0, 16.0})
        cans.push_back({0, 1 + static_cast<double>(cans.size()) * 0.8, 5, rate, {}});
    cans.push_back({7, 0, 0, 1, {}});  // of no zone that is asked about
    const auto compared = compare_cans(zones, cans);
    ASSERT_EQ(compared.size(), 1U);
    ASSERT_EQ(compared[0].cans.size(), 10U);
    EXPECT_NEAR(compared[0].measured.cu, 1 - 14.0 / 150, 1e-12);
    EXPECT_NEAR(compared[0].measured.du_lq, 12.8 / 15, 1e-12);
    double sum = 0;
    for (const auto& row : compared[0].cans) {
        EXPECT_EQ(row.computed, zones[0].rate_at(row.can.x, row.can.y));
        sum += row.computed;
    }
    EXPECT_NEAR(compared[0].computed.mean, sum / 10, 1e-15);
}

}  // namespace
}  // namespace evenhead::test
