// The systems of the benchmarks are what the benchmarks say they are. Counts: the issue that asked for them.
#include "bench/systems.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <numeric>
#include <set>
#include <string>

#include "model/position.hpp"

namespace evenhead::test {
namespace {

using namespace bench;
using model::Index;

class Looped : public testing::TestWithParam<int> {};

TEST_P(Looped, HasTheCountsThatItPromises) {
    const int heads = GetParam();
    const Built made = looped_system(heads, 7);
    EXPECT_EQ(made.layout.errors.size(), 0U);
    EXPECT_EQ(made.layout.warnings.size(), 0U);
    EXPECT_EQ(made.system.heads.size(), at(heads));
    EXPECT_EQ(made.system.valves.size(), at((heads + 16) / 17));
    EXPECT_EQ(main_loops(made), std::max(1, heads / 57));
    // One lateral pipe a head: what is no main is that.
    EXPECT_EQ(std::count(made.layout.pipe_on_mainline.begin(), made.layout.pipe_on_mainline.end(), 0), heads);
    for (const model::Head& head : made.system.heads) {
        EXPECT_GT(head.joint.coefficient.value, 0);
        EXPECT_NE(head.nozzle, model::none);
    }
    for (const std::vector<Index>& zone : made.layout.zone_heads) EXPECT_LE(zone.size(), 17U);
    EXPECT_TRUE(made.layout.heads_unfed.empty());
    EXPECT_EQ(made.system.runs.front().valves.size(), made.system.valves.size());
}

// 57 to 400: every shape of the last row of loops, and few enough that no supply stands in a middle.
INSTANTIATE_TEST_SUITE_P(Sizes, Looped, testing::Values(57, 120, 171, 240, 400, 2400, 24000));

TEST(Looped, StandsInDrawingOrderMainFirstThenZoneByZone) {
    const Built made = looped_system(2400, 7);
    const auto& on_main = made.layout.pipe_on_mainline;
    Index last_zone = 0;
    const auto first_lateral = std::find(on_main.begin(), on_main.end(), 0) - on_main.begin();
    for (std::size_t pipe = static_cast<std::size_t>(first_lateral); pipe < made.system.pipes.size();
         ++pipe) {
        if (on_main[pipe]) continue;  // what leads to the next valve
        const Index zone = made.layout.zone_of_pipe[pipe].front();
        EXPECT_GE(zone, last_zone);
        last_zone = zone;
    }
}

TEST(Looped, IsTheSameForTheSameSeedAndAnotherForAnother) {
    const Built one = looped_system(240, 7), same = looped_system(240, 7), other = looped_system(240, 8);
    const auto lengths = [](const Built& made) {
        std::vector<double> all;
        for (const model::Pipe& pipe : made.system.pipes) all.push_back(pipe.length.value);
        return all;
    };
    EXPECT_EQ(lengths(one), lengths(same));
    EXPECT_NE(lengths(one), lengths(other));
}

TEST(Looped, IsTheSameSystemWithItsRowsShuffled) {
    const Built drawn = looped_system(2400, 7), shuffled = looped_system(2400, 7, RowOrder::shuffled);
    const auto described = [](const Built& made) {
        std::map<std::string, double> pipes;
        for (const model::Pipe& pipe : made.system.pipes)
            pipes[made.system.point_id(pipe.from) + " " + made.system.point_id(pipe.to)] = pipe.length.value;
        return pipes;
    };
    const auto order = [](const Built& made) {
        std::vector<std::string> ids;
        for (const model::Point& point : made.system.points) ids.push_back(point.id);
        return ids;
    };
    EXPECT_EQ(described(drawn), described(shuffled));
    EXPECT_NE(order(drawn), order(shuffled));
    EXPECT_EQ(main_loops(drawn), main_loops(shuffled));
    // Zones hold the heads that bear their valve's name.
    for (std::size_t v = 0; v < shuffled.system.valves.size(); ++v) {
        const std::string valve = shuffled.system.point_id(shuffled.system.valves[v].point) + ".";
        ASSERT_FALSE(shuffled.layout.zone_heads[v].empty());
        for (const Index head : shuffled.layout.zone_heads[v])
            EXPECT_EQ(shuffled.system.point_id(shuffled.system.heads[at(head)].point).rfind(valve, 0), 0U);
    }
}

TEST(Golf, HasAValveInEachOf3500HeadsOnTwentyLoops) {
    const Built made = golf_course(7);
    EXPECT_EQ(made.layout.errors.size(), 0U);
    EXPECT_EQ(made.system.heads.size(), 3500U);
    EXPECT_EQ(made.system.runs.size(), 3500U);
    EXPECT_EQ(main_loops(made), 20);
    std::set<Index> own;
    for (const model::Head& head : made.system.heads) own.insert(head.valve);
    EXPECT_EQ(own.size(), 3500U);
    EXPECT_FALSE(own.contains(model::none));
    for (const model::Run& run : made.system.runs) EXPECT_EQ(run.valves.size(), 1U);
}

TEST(City, Has258SystemsWith500000HeadsAnd29000Valves) {
    const std::vector<ParkSize> sizes = city_sizes(7);
    EXPECT_EQ(sizes.size(), 258U);
    int heads = 0, valves = 0;
    std::vector<int> sorted;
    for (const ParkSize& size : sizes) {
        heads += size.heads;
        valves += size.valves;
        sorted.push_back(size.heads);
        EXPECT_GE(size.valves, 1);
    }
    EXPECT_EQ(heads, 500000);
    EXPECT_EQ(valves, 29000);
    std::sort(sorted.begin(), sorted.end());
    EXPECT_LT(sorted[129], 500000 / 258);        // many small ones
    EXPECT_GT(sorted.back(), 5 * 500000 / 258);  // some large ones
}

TEST(City, OpensEveryValveOfAParkInOneRun) {
    const Built made = park({1000, 58}, 7);
    EXPECT_EQ(made.layout.errors.size(), 0U);
    EXPECT_EQ(made.system.heads.size(), 1000U);
    std::vector<Index> opened;
    for (const model::Run& run : made.system.runs) {
        EXPECT_LE(run.valves.size(), 3U);
        opened.insert(opened.end(), run.valves.begin(), run.valves.end());
    }
    std::vector<Index> every(made.system.valves.size());
    std::iota(every.begin(), every.end(), 0);
    EXPECT_EQ(every.size(), 58U);
    EXPECT_EQ(opened, every);
}

}  // namespace
}  // namespace evenhead::test
