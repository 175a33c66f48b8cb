// "Legal but suspicious is a warning, never silence" (the list of the case format), each with where and what
// would be right; and that a plain system has none.
#include <gtest/gtest.h>

#include <chrono>

#include "model/graph.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::test {
namespace {

using model::Layout;
using model::Quantity;

std::string warnings_of(const model::System& system) {
    std::string text;
    for (const model::Issue& issue : find_layout(system).warnings)
        text += issue.text + " - " + issue.mend + "\n";
    return text;
}

SystemBuilder lateral(const std::vector<double>& bores) {
    SystemBuilder b;
    b.nozzle(200e3, 1e-4);
    b.supply("street");
    b.valve("V1");
    b.pipe("street", "V1", 10, 0.05);
    std::string before = "V1";
    for (std::size_t i = 0; i < bores.size(); ++i) {
        const std::string id = "H" + std::to_string(i + 1);
        b.head(id);
        b.pipe(before, id, 5, bores[i]);
        before = id;
    }
    return b;
}

TEST(GraphChecks, ALateralThatTapersIsFine) {
    EXPECT_EQ(warnings_of(lateral({0.03, 0.03, 0.02}).system), "");
}

TEST(GraphChecks, ALateralThatGrowsIsTold) {
    SystemBuilder b = lateral({0.03, 0.02, 0.025});
    const std::string text = warnings_of(b.system);
    EXPECT_NE(text.find("pipe \"H2-H3\" is larger than pipe \"H1-H2\""), std::string::npos) << text;
    // The same pipe drawn the other way round grows as well: the graph decides, not the row.
    std::swap(b.system.pipes[3].from, b.system.pipes[3].to);
    EXPECT_NE(warnings_of(b.system).find("grows in the direction of flow"), std::string::npos);
}

TEST(GraphChecks, TheSameNominalSizeOfAnotherKindIsNoGrowth) {
    SystemBuilder b = lateral({0.026, 0.030});
    b.system.pipes[1].size.edit().nominal = b.system.pipes[2].size.edit().nominal = "1";
    EXPECT_EQ(warnings_of(b.system), "");
}

TEST(GraphChecks, ALoopedLateralHasNoDirection) {
    SystemBuilder b = lateral({0.03, 0.02, 0.03});
    b.pipe("H3", "V1x", 5, 0.03);
    b.pipe("V1x", "H1", 5, 0.03);
    EXPECT_EQ(warnings_of(b.system).find("grows"), std::string::npos);
}

TEST(GraphChecks, ADeadEndNamesTheIdThatWasMeant) {
    SystemBuilder b = lateral({0.03, 0.02});
    b.head("H3");
    b.pipe("H2", "h3x", 5, 0.02);
    const Layout layout = find_layout(b.system);
    ASSERT_EQ(layout.dead_ends.size(), 1u);
    const std::string text = warnings_of(b.system);
    EXPECT_NE(text.find("a pipe ends at \"h3x\""), std::string::npos) << text;
    EXPECT_NE(text.find("is it \"H3\"?"), std::string::npos) << text;  // the row that no pipe names, not H2
    EXPECT_NE(text.find("\"H3\" is on no pipe"), std::string::npos) << text;
}

TEST(GraphChecks, APipeShorterThanTheStraightDistance) {
    SystemBuilder b = lateral({0.03});
    const auto place = [&](const char* id, double x, double y) {
        b.at(id).x = Quantity{x, 0};
        b.at(id).y = Quantity{y, 0};
    };
    place("street", 0, 0);
    place("V1", 30, 40);  // 3-4-5: 50 m apart, the row says 10 m
    EXPECT_NE(warnings_of(b.system).find("pipe \"street-V1\" is shorter"), std::string::npos);
    b.system.pipes[0].length.value = 50;
    EXPECT_EQ(warnings_of(b.system), "");
    // 12 m up: the straight distance is 51.42 m; 50 m is the distance in plan, taken as such; 49.9 m is not.
    b.at("street").elevation = Quantity{0, 0};
    b.at("V1").elevation = Quantity{12, 0};
    EXPECT_EQ(warnings_of(b.system), "");
    b.system.pipes[0].length.value = 49.9;
    EXPECT_NE(warnings_of(b.system).find("pipe \"street-V1\" is shorter"), std::string::npos);
}

TEST(GraphChecks, HeightAloneMayBeMoreThanTheLength) {
    SystemBuilder b = lateral({0.03});
    b.system.ground = Quantity{0, 0};
    b.at("H1").elevation = Quantity{9, 0};  // 9 m up on 5 m of pipe
    EXPECT_NE(warnings_of(b.system).find("pipe \"V1-H1\" is shorter"), std::string::npos);
}

TEST(GraphChecks, AHundredThousandHeadsTakeNoQuadraticTime) {
    SystemBuilder b;
    b.nozzle(200e3, 1e-4);
    model::System& system = b.system;
    b.supply("S");
    // Rows are put in directly: the builder looks ids up one by one.
    const auto add = [&](model::PointKind kind, std::size_t row) {
        model::Point point;
        point.id = "P" + std::to_string(system.points.size());
        point.kind = kind;
        point.row = static_cast<Index>(row);
        system.points.push_back(point);
        return static_cast<Index>(system.points.size()) - 1;
    };
    const auto join = [&](Index from, Index to) {
        model::Pipe pipe;
        pipe.from = from;
        pipe.to = to;
        pipe.length = {10, 0};
        pipe.size.edit().bore = {0.03, 0};
        system.pipes.push_back(pipe);
    };
    Index main = 0;
    for (int zone = 0; zone < 5000; ++zone) {
        const Index tee = add(model::PointKind::plain, 0);
        join(main, tee);
        main = tee;
        Index before = add(model::PointKind::valve, system.valves.size());
        system.valves.emplace_back().point = before;
        join(tee, before);
        for (int h = 0; h < 20; ++h) {
            const Index here = add(model::PointKind::head, system.heads.size());
            system.heads.emplace_back().point = here;
            join(before, here);
            before = here;
        }
    }
    join(main, 0);
    const auto start = std::chrono::steady_clock::now();
    const Layout layout = find_layout(system);
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    EXPECT_LT(seconds, 20) << "near-linear: a quadratic step would take minutes";
    EXPECT_EQ(layout.zone_heads[4999].size(), 20u);
    ASSERT_EQ(layout.loops.size(), 1u);
    EXPECT_EQ(layout.loops[0].size(), 5001u);
    EXPECT_TRUE(layout.errors.empty());
}

}  // namespace
}  // namespace evenhead::test
