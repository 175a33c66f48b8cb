// Zones and mainline, by the words of the case format: "a zone is whatever lies downstream of one valve, the
// mainline is whatever lies upstream of them all". Expected sets are read off each drawing; random systems
// are compared with a search written straight from the definition.
#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <set>

#include "model/graph.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::test {
namespace {

using model::DeviceType;
using model::Layout;
using Indices = std::vector<Index>;

std::vector<Indices> all(const model::Lists& lists) {
    std::vector<Indices> made;
    for (std::size_t row = 0; row < lists.size(); ++row)
        made.emplace_back(lists[row].begin(), lists[row].end());
    return made;
}

std::size_t at(Index index) {
    return static_cast<std::size_t>(index);
}

std::string all_text(const std::vector<model::Issue>& issues) {
    std::string text;
    for (const model::Issue& issue : issues)
        text += issue.row + ": " + issue.text + " - " + issue.mend + "\n";
    return text;
}

/// street - meter - T1 - lawn - L1 - L2, T1 - beds - B1.
SystemBuilder garden() {
    SystemBuilder b;
    b.nozzle(200e3, 1e-4);
    b.supply("street");
    b.device("meter", DeviceType::meter);
    b.valve("lawn");
    b.valve("beds");
    for (const char* id : {"L1", "L2", "B1"}) b.head(id);
    b.line({"street", "meter", "T1", "lawn", "L1", "L2"});
    b.line({"T1", "beds", "B1"});
    return b;
}

TEST(GraphZones, ReadsAGardenOffItsPipes) {
    SystemBuilder b = garden();
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(all_text(layout.errors), "");
    EXPECT_EQ(all_text(layout.warnings), "");
    EXPECT_EQ(layout.zone_heads, (std::vector<Indices>{{0, 1}, {2}}));
    EXPECT_EQ(layout.pipe_on_mainline, (std::vector<char>{1, 1, 1, 0, 0, 1, 0}));
    EXPECT_EQ(all(layout.zone_of_pipe), (std::vector<Indices>{{}, {}, {}, {0}, {0}, {}, {1}}));
    // A valve's point: its inlet is on the mainline, its outlet in its zone.
    EXPECT_EQ(layout.point_on_mainline[at(b.point("lawn"))], 1);
    EXPECT_EQ(all(layout.zone_of_point)[at(b.point("lawn"))], Indices{0});
    EXPECT_EQ(layout.point_on_mainline[at(b.point("L1"))], 0);
    EXPECT_EQ(all(layout.zone_of_point)[at(b.point("T1"))], Indices{});
    EXPECT_TRUE(layout.heads_unfed.empty());
    EXPECT_TRUE(layout.heads_on_mainline.empty());
}

TEST(GraphZones, SidesFollowTheDirectionOfThePipes) {
    SystemBuilder b = garden();
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(layout.device_sides[0].inlet, Indices{0});
    EXPECT_EQ(layout.device_sides[0].outlet, Indices{1});
    EXPECT_EQ(layout.valve_sides[0].inlet, Indices{2});
    EXPECT_EQ(layout.valve_sides[0].outlet, Indices{3});
    EXPECT_EQ(layout.end_on_outlet[1], (std::array<bool, 2>{true, false}));
    EXPECT_EQ(layout.end_on_outlet[2], (std::array<bool, 2>{false, false}));
}

TEST(GraphZones, SeveralPipesMayEnterAndLeave) {
    SystemBuilder b = garden();
    b.head("L3");
    b.pipe("lawn", "L3");
    b.pipe("T1", "lawn").own_id = std::string("second");
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(all_text(layout.errors), "");
    EXPECT_EQ(layout.zone_heads[0], (Indices{0, 1, 3}));
    EXPECT_EQ(layout.valve_sides[0].inlet.size(), 2u);
}

TEST(GraphZones, AGateTakesAnyTwoPipes) {
    for (const bool towards : {true, false}) {
        SystemBuilder b;
        b.nozzle(200e3, 1e-4);
        b.supply("street");
        b.device("G1", DeviceType::gate);
        b.head("H1");
        towards ? b.pipe("street", "G1") : b.pipe("G1", "street");
        towards ? b.pipe("H1", "G1") : b.pipe("G1", "H1");
        const Layout layout = find_layout(b.system);
        EXPECT_EQ(all_text(layout.errors), "");
        EXPECT_EQ(layout.device_sides[0].inlet, Indices{0});
        EXPECT_EQ(layout.device_sides[0].outlet, Indices{1});
        EXPECT_EQ(layout.end_on_outlet[1][towards ? 1 : 0], true);
        EXPECT_TRUE(layout.heads_unfed.empty());
        EXPECT_EQ(layout.point_on_mainline[at(b.point("H1"))], 1);
    }
    SystemBuilder b;
    b.supply("street");
    b.device("G1", DeviceType::gate);
    for (const char* id : {"street", "A", "B"}) b.pipe(id, "G1");
    EXPECT_NE(all_text(find_layout(b.system).errors).find("gate \"G1\" is on 3 pipes"), std::string::npos);
}

TEST(GraphZones, MissingSidesAreErrorsWithTheirMend) {
    SystemBuilder b = garden();
    b.device("filter", DeviceType::filter);
    b.pipe("T1", "filter");
    b.valve("spare");
    b.device("sensor", DeviceType::flow_sensor);
    b.pipe("sensor", "T1");
    const Layout layout = find_layout(b.system);
    ASSERT_EQ(layout.errors.size(), 3u);
    EXPECT_EQ(layout.errors[0].row, "filter");
    EXPECT_NE(layout.errors[0].text.find("no outlet"), std::string::npos);
    EXPECT_NE(layout.errors[1].text.find("no inlet"), std::string::npos);
    EXPECT_NE(layout.errors[2].text.find("valve \"spare\" is on no pipe"), std::string::npos);
    for (const model::Issue& issue : layout.errors) {
        EXPECT_FALSE(issue.mend.empty());
        EXPECT_GT(issue.place.line, 0);
    }
}

TEST(GraphZones, AValveBehindAValveIsRefusedWithTheAdviceToMakeItAMaster) {
    SystemBuilder b = garden();
    b.valve("inner");
    b.head("H9");
    b.line({"L2", "inner", "H9"});
    const Layout layout = find_layout(b.system);
    ASSERT_EQ(layout.errors.size(), 1u);
    EXPECT_EQ(layout.errors[0].row, "inner");
    EXPECT_NE(layout.errors[0].text.find("\"lawn\""), std::string::npos);
    EXPECT_NE(layout.errors[0].mend.find("`master`"), std::string::npos);
}

TEST(GraphZones, AMasterValveIsADeviceOnTheMainline) {
    SystemBuilder b = garden();
    b.device("master", DeviceType::master);
    b.valve("third");
    b.head("H9");
    b.line({"T1", "master", "third", "H9"});
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(all_text(layout.errors), "");
    EXPECT_EQ(layout.zone_heads[2], Indices{3});
    EXPECT_EQ(layout.point_on_mainline[at(b.point("third"))], 1);
}

TEST(GraphZones, AHeadWithItsOwnValveIsAZoneOfItselfAndThePipeGoesOn) {
    SystemBuilder b;
    b.nozzle(200e3, 1e-4);
    b.supply("pond");
    for (const char* id : {"H1", "H2", "H3"}) b.head(id);
    b.own_valve(0);
    b.own_valve(1);
    b.line({"pond", "H1", "H2", "H3"});
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(all_text(layout.errors), "");
    EXPECT_EQ(layout.zone_heads, (std::vector<Indices>{{0}, {1}}));
    EXPECT_EQ(layout.valve_sides[0].inlet, (Indices{0, 1}));
    EXPECT_TRUE(layout.valve_sides[0].outlet.empty());
    EXPECT_EQ(layout.pipe_on_mainline, (std::vector<char>{1, 1, 1}));
    EXPECT_EQ(layout.heads_on_mainline, Indices{2});  // no valve of its own: it waters in every run
    EXPECT_NE(all_text(layout.warnings).find("head \"H3\" is upstream of every valve"), std::string::npos);
}

TEST(GraphZones, AHeadBetweenTwoValvesHasTwoZones) {
    SystemBuilder b = garden();
    b.pipe("L2", "B1");
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(all_text(layout.errors), "");
    EXPECT_EQ(layout.heads_two_valves, (Indices{0, 1, 2}));
    EXPECT_EQ(layout.zone_heads, (std::vector<Indices>{{0, 1, 2}, {0, 1, 2}}));
    EXPECT_EQ(all(layout.zone_of_pipe).back(), (Indices{0, 1}));
}

TEST(GraphZones, WhatIsClosedPartsNoZoneButLeavesHeadsDry) {
    SystemBuilder b = garden();
    b.system.pipes[4].closed = true;  // L1-L2
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(layout.zone_heads[0], (Indices{0, 1}));
    EXPECT_EQ(layout.heads_unfed, Indices{1});
    EXPECT_EQ(layout.point_reached[at(b.point("L2"))], 0);
    EXPECT_EQ(layout.point_reached[at(b.point("L1"))], 1);
}

TEST(GraphZones, WaterGoesOneWayThroughACheck) {
    SystemBuilder b = garden();
    b.device("check", DeviceType::check).one_way = true;
    b.head("H9");
    b.line({"H9", "check", "L2"});  // turned the wrong way round
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(all_text(layout.errors), "");
    EXPECT_EQ(layout.heads_unfed, Indices{3});
    EXPECT_EQ(layout.zone_heads[0], (Indices{0, 1}));
}

TEST(GraphZones, WithoutValvesNothingIsSuspicious) {
    SystemBuilder b;
    b.nozzle(200e3, 1e-4);
    b.supply("street");
    b.head("H1");
    b.pipe("street", "H1");
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(all_text(layout.warnings), "");
    EXPECT_EQ(layout.heads_on_mainline, Indices{0});
}

TEST(GraphZones, AValveThatTheMainlineGoesRoundIsTold) {
    SystemBuilder b = garden();
    b.pipe("T1", "L1");
    const Layout layout = find_layout(b.system);
    EXPECT_NE(all_text(layout.warnings).find("valve \"lawn\" has the mainline on both sides"),
              std::string::npos);
    EXPECT_EQ(layout.heads_on_mainline, (Indices{0, 1}));
}

/// Spreads from a set of (point, side) places along pipes and devices until nothing is added: the definition
/// itself.
using Place2 = std::pair<Index, int>;  // side 1: outlet
std::set<Place2> spread(const model::System& system, std::set<Place2> reached,
                        const std::set<Place2>& barred) {
    const auto side = [&](Index point, bool leaving) {
        const model::PointKind kind = system.points[at(point)].kind;
        return kind == model::PointKind::device || kind == model::PointKind::valve ? (leaving ? 1 : 0) : 0;
    };
    for (bool grew = true; grew;) {
        grew = false;
        const auto step = [&](Place2 from, Place2 to) {
            if (reached.count(from) != 0 && barred.count(to) == 0) grew |= reached.insert(to).second;
        };
        for (const model::Pipe& pipe : system.pipes) {
            const Place2 from{pipe.from, side(pipe.from, true)}, to{pipe.to, side(pipe.to, false)};
            step(from, to);
            step(to, from);
        }
        for (const model::Device& device : system.devices) {
            step({device.point, 0}, {device.point, 1});
            if (!device.one_way) step({device.point, 1}, {device.point, 0});
        }
    }
    return reached;
}

TEST(GraphZones, RandomSystemsAgreeWithTheDefinition) {
    std::mt19937 random(20240131);
    for (int round = 0; round < 200; ++round) {
        SystemBuilder b;
        b.nozzle(200e3, 1e-4);
        const int points = 12;
        std::vector<std::string> ids;
        for (int i = 0; i < points; ++i) ids.push_back("P" + std::to_string(i));
        b.supply(ids[0]);
        for (int i = 1; i < points; ++i) {
            const unsigned kind = static_cast<unsigned>(random() % 5);
            if (kind == 0) b.device(ids[at(i)], DeviceType::other).one_way = random() % 2 == 0;
            if (kind == 1) b.valve(ids[at(i)]);
            if (kind == 2) b.head(ids[at(i)]);
        }
        for (int i = 0; i < 14; ++i) {
            const std::size_t from = random() % points, to = random() % points;
            if (from != to) b.pipe(ids[from], ids[to]).own_id = "pipe" + std::to_string(i);
        }
        const Layout layout = find_layout(b.system);
        const std::set<Place2> mainline = spread(b.system, {{0, 0}}, {});
        for (std::size_t p = 0; p < b.system.points.size(); ++p) {
            const Index point = static_cast<Index>(p);
            const bool device = b.system.points[p].kind == model::PointKind::device;
            const bool expected =
                mainline.count({point, 0}) != 0 || (device && mainline.count({point, 1}) != 0);
            EXPECT_EQ(layout.point_on_mainline[p] != 0, expected) << "round " << round << " " << ids[p];
        }
        for (std::size_t v = 0; v < b.system.valves.size(); ++v) {
            const Place2 outlet{b.system.valves[v].point, 1};
            const std::set<Place2> zone =
                mainline.count(outlet) != 0 ? std::set<Place2>{} : spread(b.system, {outlet}, mainline);
            Indices heads;
            for (std::size_t h = 0; h < b.system.heads.size(); ++h)
                if (zone.count({b.system.heads[h].point, 0}) != 0) heads.push_back(static_cast<Index>(h));
            EXPECT_EQ(layout.zone_heads[v], heads) << "round " << round << " valve " << v;
        }
    }
}

}  // namespace
}  // namespace evenhead::test
