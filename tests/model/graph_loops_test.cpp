// Loops by their definition (a pipe lies on a loop if its two ends stay joined without it), the cyclomatic
// number of graph theory (links - nodes + parts), and rings of elements that lose nothing.
#include <gtest/gtest.h>

#include <functional>
#include <numeric>
#include <random>

#include "model/graph.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::test {
namespace {

using model::DeviceType;
using model::Layout;
using Indices = std::vector<Index>;

std::size_t at(Index index) {
    return static_cast<std::size_t>(index);
}

TEST(GraphLoops, ATreeHasNone) {
    SystemBuilder b;
    b.supply("S");
    b.line({"S", "A", "B"});
    b.line({"A", "C"});
    const Layout layout = find_layout(b.system);
    EXPECT_TRUE(layout.loops.empty());
    EXPECT_EQ(layout.pipe_in_loop, (std::vector<char>{0, 0, 0}));
}

TEST(GraphLoops, TwoPipesSideBySideAreALoop) {
    SystemBuilder b;
    b.supply("S");
    b.pipe("S", "A");
    b.pipe("A", "S").own_id = std::string("second");
    b.pipe("A", "B");
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(layout.loops, (std::vector<Indices>{{0, 1}}));
    EXPECT_EQ(layout.pipe_in_loop, (std::vector<char>{1, 1, 0}));
}

TEST(GraphLoops, LoopsThatShareOnePointAreTwoPartsThoseThatShareAPipeOne) {
    SystemBuilder b;
    b.supply("S");
    b.line({"S", "A", "B", "S"});
    b.line({"S", "C", "D", "S"});
    b.line({"C", "E", "D"});
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(layout.loops, (std::vector<Indices>{{0, 1, 2}, {3, 4, 5, 6, 7}}));
}

TEST(GraphLoops, AGateLiesInTheLoop) {
    SystemBuilder b;
    b.supply("S");
    b.device("G", DeviceType::gate);
    b.line({"S", "A", "G", "B", "S"});
    b.pipe("B", "C");
    const Layout layout = find_layout(b.system);
    EXPECT_EQ(layout.loops, (std::vector<Indices>{{0, 1, 2, 3}}));
}

TEST(GraphLoops, RandomNetworksAgreeWithTheDefinition) {
    std::mt19937 random(7);
    for (int round = 0; round < 100; ++round) {
        SystemBuilder b;
        const std::size_t points = 9, pipes = 11;
        for (std::size_t i = 0; i < points; ++i) b.point("P" + std::to_string(i));
        b.supply("P0");
        for (std::size_t i = 0; i < pipes; ++i) {
            const std::size_t from = random() % points, to = random() % points;
            if (from != to)
                b.pipe("P" + std::to_string(from), "P" + std::to_string(to)).own_id =
                    "pipe" + std::to_string(i);
        }
        const Layout layout = find_layout(b.system);
        std::vector<std::size_t> group(points);
        const auto join = [&](std::size_t without) {  // groups of joined points, without one pipe
            std::iota(group.begin(), group.end(), 0u);
            std::function<std::size_t(std::size_t)> root = [&](std::size_t i) {
                return group[i] == i ? i : root(group[i]);
            };
            for (std::size_t p = 0; p < b.system.pipes.size(); ++p)
                if (p != without) group[root(at(b.system.pipes[p].from))] = root(at(b.system.pipes[p].to));
            for (std::size_t i = 0; i < points; ++i) group[i] = root(i);
        };
        for (std::size_t p = 0; p < b.system.pipes.size(); ++p) {
            join(p);
            const bool loop = group[at(b.system.pipes[p].from)] == group[at(b.system.pipes[p].to)];
            EXPECT_EQ(layout.pipe_in_loop[p] != 0, loop) << "round " << round << " pipe " << p;
        }
        // Each looped part has links - points + 1 independent loops; together as many as the whole network.
        join(pipes);
        std::size_t parts = 0, independent = 0;
        for (std::size_t i = 0; i < points; ++i) parts += group[i] == i ? 1 : 0;
        for (const Indices& loop : layout.loops) {
            std::vector<char> seen(points, 0);
            for (const Index pipe : loop)
                seen[at(b.system.pipes[at(pipe)].from)] = seen[at(b.system.pipes[at(pipe)].to)] = 1;
            independent +=
                loop.size() + 1 - static_cast<std::size_t>(std::accumulate(seen.begin(), seen.end(), 0));
        }
        EXPECT_EQ(independent, b.system.pipes.size() + parts - points) << "round " << round;
    }
}

std::string ring_text(const model::System& system) {
    std::string text;
    for (const model::Issue& issue : find_layout(system).errors) text += issue.text + "\n";
    return text;
}

TEST(GraphLoops, ARingThatLosesNothingIsRefusedByName) {
    SystemBuilder b;
    b.supply("S");
    b.device("G1", DeviceType::gate);
    b.device("G2", DeviceType::gate);
    b.line({"S", "A"});
    b.line({"A", "G1", "B"}, 0);
    b.line({"A", "G2", "B"}, 0);
    b.pipe("B", "C");
    const std::string text = ring_text(b.system);
    for (const char* name : {"\"A-G1\"", "\"G1-B\"", "\"G1\"", "\"G2\""})
        EXPECT_NE(text.find(name), std::string::npos) << text;
    EXPECT_EQ(text.find("\"B-C\""), std::string::npos);
}

TEST(GraphLoops, OneLossOneLengthOrOneClosedGateOpensTheRing) {
    for (int change = 0; change < 4; ++change) {
        SystemBuilder b;
        b.supply("S");
        b.device("G1", DeviceType::gate);
        b.device("G2", DeviceType::gate);
        b.line({"A", "G1", "B"}, 0);
        b.line({"A", "G2", "B"}, 0);
        b.line({"S", "A"});
        if (change == 0) b.system.devices[0].closed = true;
        if (change == 1) b.system.pipes[0].length.value = 0.1;
        if (change == 2) b.system.pipes[0].k.value = 0.5;
        if (change == 3) {
            b.system.devices[1].loss.kind = model::LossKind::cv;
            b.system.devices[1].loss.coefficient = {50, 0};
        }
        EXPECT_EQ(ring_text(b.system), "") << "change " << change;
    }
}

TEST(GraphLoops, SuppliesWithoutFlowTestJoinedWithoutLossAreRefused) {
    SystemBuilder b;
    b.supply("S1");
    b.supply("S2");
    b.device("check", DeviceType::check).one_way = true;
    b.line({"S1", "T"}, 0);
    b.line({"S2", "check", "T"}, 0);
    b.pipe("T", "C");
    const std::string text = ring_text(b.system);
    EXPECT_NE(text.find("supplies without flow test"), std::string::npos);
    EXPECT_NE(text.find("\"S1\""), std::string::npos);
    b.system.supplies[1].tests = {{{1e-3, 0}, {300e3, 0}}};
    EXPECT_EQ(ring_text(b.system), "");
}

// Round such a ring the heights add up to the pump's rise, which nothing takes: no flow is a balance.
TEST(GraphLoops, APumpOfAnyFlowInARingThatLosesNothingIsRefused) {
    const model::ChartRow some{{1e-3, 0}, {200e3, 0}}, level{{2e-3, 0}, {200e3, 0}},
        falling{{2e-3, 0}, {50e3, 0}};
    const auto text_with = [&](double back, std::vector<model::ChartRow> rise, bool check_in_the_way) {
        SystemBuilder b;
        b.supply("S");
        b.device("P", DeviceType::pump).rise = std::move(rise);
        b.device("C", DeviceType::check).one_way = true;
        b.line({"S", "A"});
        b.line({"A", "P", "B"}, 0);
        b.pipe(check_in_the_way ? "A" : "B", "C").length.value = back;
        b.pipe("C", check_in_the_way ? "B" : "A").length.value = back;
        b.pipe("B", "D");
        return ring_text(b.system);
    };
    EXPECT_NE(text_with(0, {some}, false).find("pump \"P\" drives a ring"), std::string::npos);
    EXPECT_NE(text_with(0, {some, level}, false).find("pump \"P\" drives a ring"), std::string::npos);
    EXPECT_EQ(text_with(0, {some, falling}, false), "");
    EXPECT_EQ(text_with(1, {some}, false), "");
    EXPECT_EQ(text_with(0, {some}, true), "");  // a bypass that shuts while the pump runs
}

}  // namespace
}  // namespace evenhead::test
