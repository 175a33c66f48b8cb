// Where points go: by coordinates, along pipes, and in a schematic. What is asked for here is plain geometry:
// lengths by Pythagoras, shares of a length, two segments that cross (orientation of three points; de Berg et
// al., Computational Geometry, 3rd ed. 2008, chapter 2).
#include "io/plan/placement.hpp"

#include <gtest/gtest.h>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/boyer_myrvold_planar_test.hpp>
#include <cmath>
#include <map>
#include <set>

#include "bench/systems.hpp"
#include "tests/generator/generator.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::io {
namespace {

using test::SystemBuilder;

void set_place(model::Point& point, double x, double y) {
    point.x = model::Quantity{x, 0};
    point.y = model::Quantity{y, 0};
}
double distance(const Spot& one, const Spot& two) {
    return std::hypot(one.x - two.x, one.y - two.y);
}

/// street (0, 0) - a - b - valve (40, 0) - H1 - H2; a, b, H1 and H2 without coordinates; T1 and T2 with.
SystemBuilder half_placed() {
    SystemBuilder build;
    build.nozzle(200e3, 1e-4);
    build.supply("street");
    build.valve("lawn");
    build.head("H1");
    build.head("H2");
    build.pipe("street", "a", 5);
    build.pipe("a", "b", 10);
    build.pipe("b", "lawn", 25);
    build.pipe("lawn", "T1", 30);
    build.pipe("T1", "T2", 30);
    build.pipe("lawn", "H1", 8);
    build.pipe("H1", "H2", 6);
    set_place(build.at("street"), 0, 0);
    set_place(build.at("lawn"), 40, 0);
    set_place(build.at("T1"), 40, 30);
    set_place(build.at("T2"), 40, 60);
    return build;
}

TEST(PlanPlacement, CoordinatesAreKeptAndTheRestGoesAlongThePipesByLength) {
    SystemBuilder build = half_placed();
    const Placement placement = place(build.system);
    ASSERT_TRUE(placement.to_scale);
    const auto spot = [&](const char* id) { return placement.points[at(build.point(id))]; };
    EXPECT_EQ(spot("T1"), (Spot{40, 30}));
    EXPECT_NEAR(spot("a").x, 5, 1e-9);
    EXPECT_NEAR(spot("b").x, 15, 1e-9);
    EXPECT_NEAR(spot("a").y, 0, 1e-9);
    EXPECT_NEAR(distance(spot("lawn"), spot("H1")), 8, 1e-9);
    EXPECT_NEAR(distance(spot("H1"), spot("H2")), 6, 1e-9);
    std::set<Index> along(placement.along_pipe.begin(), placement.along_pipe.end());
    EXPECT_EQ(along,
              (std::set<Index>{build.point("a"), build.point("b"), build.point("H1"), build.point("H2")}));
}

TEST(PlanPlacement, WithCoordinatesForLessThanHalfOfThePointsItIsASchematic) {
    SystemBuilder build = half_placed();
    build.at("T1").x.reset();
    EXPECT_FALSE(place(build.system).to_scale);
    for (model::Point& point : build.system.points)
        set_place(point, 3, 3);  // all in one place: no plan either
    EXPECT_FALSE(place(build.system).to_scale);
}

TEST(PlanPlacement, BendsOfThePipesAreFollowed) {
    SystemBuilder build = half_placed();
    build.system.pipes[3].bends = std::vector<std::array<double, 2>>{{45, 0}, {45, 30}};
    const Placement placement = place(build.system);
    EXPECT_EQ(placement.bends[3], (std::vector<Spot>{{45, 0}, {45, 30}}));
}

/// A pipe as it is drawn: from point to point over its bends.
std::vector<Spot> line_of(const model::System& system, const Placement& placement, std::size_t pipe) {
    std::vector<Spot> line{placement.points[at(system.pipes[pipe].from)]};
    line.insert(line.end(), placement.bends[pipe].begin(), placement.bends[pipe].end());
    line.push_back(placement.points[at(system.pipes[pipe].to)]);
    return line;
}

double side(const Spot& from, const Spot& to, const Spot& point) {
    return (to.x - from.x) * (point.y - from.y) - (to.y - from.y) * (point.x - from.x);
}
/// Each has its ends on both sides of the other. Lines that only touch or lie on each other do not cross.
bool cross(const Spot& a, const Spot& b, const Spot& c, const Spot& d) {
    constexpr double little = 1e-9;
    const auto apart = [](double one, double two) {
        return (one > little && two < -little) || (one < -little && two > little);
    };
    return apart(side(a, b, c), side(a, b, d)) && apart(side(c, d, a), side(c, d, b));
}

/// Crossings among the drawn pipes, found in cells of the size of a few steps.
int crossings(const model::System& system, const Placement& placement) {
    struct Segment {
        Spot from, to;
    };
    std::vector<Segment> segments;
    std::map<std::pair<int, int>, std::vector<std::size_t>> cells;
    const auto cell = [](double value) { return static_cast<int>(std::floor(value / 8)); };
    for (std::size_t pipe = 0; pipe < system.pipes.size(); ++pipe) {
        const std::vector<Spot> line = line_of(system, placement, pipe);
        for (std::size_t i = 1; i < line.size(); ++i) {
            const Spot &a = line[i - 1], &b = line[i];
            for (int x = cell(std::min(a.x, b.x)); x <= cell(std::max(a.x, b.x)); ++x)
                for (int y = cell(std::min(a.y, b.y)); y <= cell(std::max(a.y, b.y)); ++y)
                    cells[{x, y}].push_back(segments.size());
            segments.push_back({a, b});
        }
    }
    std::set<std::pair<std::size_t, std::size_t>> found;
    for (const auto& [key, list] : cells)
        for (std::size_t i = 0; i < list.size(); ++i)
            for (std::size_t j = 0; j < i; ++j) {
                const Segment &one = segments[list[i]], &two = segments[list[j]];
                if (cross(one.from, one.to, two.from, two.to)) found.insert({list[j], list[i]});
            }
    return static_cast<int>(found.size());
}

/// By Boyer and Myrvold's test; a pipe is a vertex, so that two between the same points do no harm.
bool planar(const model::System& system) {
    boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS> graph(system.points.size() +
                                                                              system.pipes.size());
    for (std::size_t i = 0; i < system.pipes.size(); ++i)
        for (const Index end : {system.pipes[i].from, system.pipes[i].to})
            boost::add_edge(at(end), system.points.size() + i, graph);
    return boost::boyer_myrvold_planarity_test(graph);
}

/// Points that share a place.
int doubles(const Placement& placement) {
    std::set<std::pair<double, double>> places;
    for (const Spot& spot : placement.points)
        places.insert({std::round(spot.x * 1e6) / 1e6, std::round(spot.y * 1e6) / 1e6});
    return static_cast<int>(placement.points.size() - places.size());
}

TEST(PlanPlacement, ALateralIsAStraightLineInItsOrder) {
    SystemBuilder build;
    build.nozzle(200e3, 1e-4);
    build.supply("street");
    build.device("meter", model::DeviceType::meter);
    for (const char* valve : {"V1", "V2", "V3"}) {
        build.valve(valve);
        for (int i = 1; i <= 5; ++i) build.head(std::string(valve) + "." + std::to_string(i));
    }
    build.line({"street", "meter", "T1", "T2", "T3"});
    for (const int zone : {1, 2, 3}) {
        const std::string valve = "V" + std::to_string(zone);
        build.line({"T" + std::to_string(zone), valve, valve + ".1", valve + ".2", valve + ".3", valve + ".4",
                    valve + ".5"});
    }
    const Placement placement = place(build.system);
    EXPECT_FALSE(placement.to_scale);
    const auto spot = [&](const std::string& id) { return placement.points[at(build.point(id))]; };
    // The mainline runs to the right, level, in order; each lateral square to it, away from it, in order.
    double last = spot("street").x;
    for (const char* id : {"meter", "T1", "T2", "T3"}) {
        EXPECT_DOUBLE_EQ(spot(id).y, spot("street").y);
        EXPECT_GT(spot(id).x, last);
        last = spot(id).x;
    }
    for (const int zone : {1, 2, 3}) {
        const std::string valve = "V" + std::to_string(zone);
        const double tee_y = spot("T" + std::to_string(zone)).y;
        double away = 0;
        for (const std::string& id :
             {valve, valve + ".1", valve + ".2", valve + ".3", valve + ".4", valve + ".5"}) {
            EXPECT_DOUBLE_EQ(spot(id).x, spot(valve).x);
            EXPECT_GT(std::abs(spot(id).y - tee_y), away);
            away = std::abs(spot(id).y - tee_y);
        }
    }
    EXPECT_EQ(crossings(build.system, placement), 0);
}

TEST(PlanPlacement, ARingIsARectangleThatCloses) {
    SystemBuilder build;
    build.supply("street");
    build.line({"street", "A", "B", "C", "D", "E", "F", "A"});
    const Placement placement = place(build.system);
    double left = 1e9, right = -1e9, low = 1e9, high = -1e9;
    for (std::size_t pipe = 1; pipe < build.system.pipes.size(); ++pipe)
        for (const Spot& spot : line_of(build.system, placement, pipe)) {
            if (spot == placement.points[at(build.point("A"))]) continue;
            left = std::min(left, spot.x);
            right = std::max(right, spot.x);
            low = std::min(low, spot.y);
            high = std::max(high, spot.y);
        }
    double around = 0;
    for (std::size_t pipe = 1; pipe < build.system.pipes.size(); ++pipe) {
        const std::vector<Spot> line = line_of(build.system, placement, pipe);
        for (std::size_t i = 1; i < line.size(); ++i) {
            EXPECT_TRUE(line[i].x == line[i - 1].x || line[i].y == line[i - 1].y) << pipe;
            around += distance(line[i - 1], line[i]);
        }
    }
    // Once around the rectangle, and the short stem to the point where the water comes in, out and back.
    const double stem = 2 * (left - placement.points[at(build.point("A"))].x);
    EXPECT_NEAR(around, 2 * (right - left) + 2 * (high - low) + stem, 1e-9);
    EXPECT_GT(right, left);
    EXPECT_GT(high, low);
    EXPECT_EQ(doubles(placement), 0);
}

TEST(PlanPlacement, OfParksAndGolfCoursesNothingCrossesAndNoTwoPointsMeet) {
    for (const int heads : {1, 5, 40, 300, 1500, 6000}) {
        const bench::Built built = bench::park({heads, heads / 17 + 1}, static_cast<std::uint64_t>(heads));
        const Placement placement = place(built.system);
        EXPECT_EQ(doubles(placement), 0) << heads;
        EXPECT_EQ(crossings(built.system, placement), 0) << heads;
    }
    const bench::Built golf = bench::golf_course(3, 900);
    const Placement placement = place(golf.system);
    EXPECT_EQ(doubles(placement), 0);
    EXPECT_EQ(crossings(golf.system, placement), 0);
}

TEST(PlanPlacement, GeneratedSystemsOfEveryKindGetAPlaceForEveryPointTheSameEachTime) {
    for (std::uint64_t seed = 1; seed <= 150; ++seed) {
        const tests::Generated made = tests::generate(seed);
        const Placement placement = place(made.system);
        EXPECT_EQ(placement.points.size(), made.system.points.size());
        for (const Spot& spot : placement.points)
            EXPECT_TRUE(std::isfinite(spot.x) && std::isfinite(spot.y)) << seed;
        EXPECT_EQ(doubles(placement), 0) << seed;
        EXPECT_EQ(crossings(made.system, placement) > 0, !planar(made.system)) << seed;
        const Placement again = place(made.system);
        EXPECT_TRUE(again.points == placement.points && again.bends == placement.bends) << seed;
    }
}

TEST(PlanPlacement, WhatCannotBePlanarIsDrawnWhole) {
    // Five points, each joined with each other: no drawing without a crossing (Kuratowski 1930); one is
    // enough.
    SystemBuilder build;
    build.supply("street");
    build.pipe("street", "P0");
    for (int i = 0; i < 5; ++i)
        for (int j = i + 1; j < 5; ++j) build.pipe("P" + std::to_string(i), "P" + std::to_string(j));
    const Placement placement = place(build.system);
    EXPECT_EQ(doubles(placement), 0);
    EXPECT_GE(crossings(build.system, placement), 1);
}

}  // namespace
}  // namespace evenhead::io
