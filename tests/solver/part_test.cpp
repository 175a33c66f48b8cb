// A part of a system balances as the whole does: every run of every shipped case, and of generated systems,
// solved twice.
#include "model/part.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "io/read/case.hpp"
#include "model/position.hpp"
#include "solver/runs/runs.hpp"
#include "tests/generator/generator.hpp"

namespace evenhead::solver {
namespace {

/// Largest difference of the part's pressures (share of the run's highest) and flows (share of the run's
/// flow) from the whole's; NaN only where both are. Fails where one of them has no solution.
double largest_difference(const model::System& system, const model::Layout& layout, Index run) {
    const RunResult whole = solve_run(system, layout, run);
    const model::Part part = model::part_of(system, layout, system.runs[at(run)].valves);
    const model::Layout part_layout = model::find_layout(part.system);
    const RunResult own = solve_run(part.system, part_layout, run);
    EXPECT_EQ(whole.failure.has_value(), own.failure.has_value());
    if (whole.failure || own.failure) return 0;
    double largest = 0;
    const auto compare = [&](double one, double other, double scale) {
        EXPECT_EQ(std::isnan(one), std::isnan(other));
        if (!std::isnan(one) && !std::isnan(other))
            largest = std::max(largest, std::abs(one - other) / scale);
    };
    const double pressure =
        std::max({1.0, std::abs(whole.highest_pressure), std::abs(whole.lowest_pressure)});
    double flow = 1e-9;
    for (const double of : whole.pipe_flow)
        if (!std::isnan(of)) flow = std::max(flow, std::abs(of));
    for (std::size_t i = 0; i < part.head.size(); ++i) {
        compare(own.head_pressure[i], whole.head_pressure[at(part.head[i])], pressure);
        compare(own.head_flow[i], whole.head_flow[at(part.head[i])], flow);
    }
    for (std::size_t i = 0; i < part.point.size(); ++i)
        compare(own.point_pressure[i], whole.point_pressure[at(part.point[i])], pressure);
    for (std::size_t i = 0; i < part.pipe.size(); ++i)
        compare(own.pipe_flow[i], whole.pipe_flow[at(part.pipe[i])], flow);
    for (std::size_t i = 0; i < system.devices.size(); ++i) {
        compare(own.device_inlet[i], whole.device_inlet[i], pressure);
        compare(own.device_flow[i], whole.device_flow[i], flow);
    }
    for (std::size_t i = 0; i < system.supplies.size(); ++i)
        compare(own.supply_flow[i], whole.supply_flow[i], flow);
    return largest;
}

TEST(Part, OfEveryShippedCaseBalancesAsTheWhole) {
    int runs = 0;
    for (const auto& folder : std::filesystem::directory_iterator(EVENHEAD_SOURCE_DIR "/cases")) {
        const auto file = folder.path() / "case.toml";
        if (!std::filesystem::exists(file)) continue;
        const io::CaseReading reading = io::read_case(file.string());
        ASSERT_TRUE(reading.system) << file;
        // The first, and some of many.
        const std::size_t step = std::max<std::size_t>(1, reading.system->runs.size() / 40);
        for (std::size_t run = 0; run < reading.system->runs.size(); run += step, ++runs)
            EXPECT_LT(largest_difference(*reading.system, reading.layout, static_cast<Index>(run)), 1e-9)
                << file << " " << reading.system->runs[run].id;
    }
    EXPECT_GT(runs, 20);
}

TEST(Part, OfGeneratedSystemsBalancesAsTheWhole) {
    int runs = 0;
    for (std::uint64_t seed = 1; seed <= 400; ++seed) {
        // Every other one with extremes of size, flow and height.
        const tests::Generated made = tests::generate(seed, {5, 200, seed % 2 == 0});
        for (std::size_t run = 0; run < made.system.runs.size() && run < 6; ++run, ++runs)
            EXPECT_LT(largest_difference(made.system, made.layout, static_cast<Index>(run)), 1e-9)
                << "seed " << seed << " " << made.system.runs[run].id;
    }
    EXPECT_GT(runs, 300);
}

TEST(Part, SaysWhereEachRowIs) {
    const tests::Generated made = tests::generate(11, {60, 200, false});
    ASSERT_GT(made.system.valves.size(), 1U);
    const model::Part part = model::part_of(made.system, made.layout, {0});
    EXPECT_LT(part.head.size(), made.system.heads.size());
    EXPECT_EQ(part.system.points.size(), part.point.size());
    EXPECT_EQ(part.system.valves.size(), made.system.valves.size());
    for (std::size_t i = 0; i < part.point.size(); ++i) {
        EXPECT_EQ(part.system.points[i].id, made.system.points[at(part.point[i])].id);
        EXPECT_EQ(part.point_of[at(part.point[i])], static_cast<Index>(i));
    }
    for (std::size_t i = 0; i < part.pipe.size(); ++i) {
        EXPECT_EQ(part.system.pipe_id(static_cast<Index>(i)), made.system.pipe_id(part.pipe[i]));
        EXPECT_EQ(part.pipe_of[at(part.pipe[i])], static_cast<Index>(i));
    }
    for (std::size_t i = 0; i < part.head.size(); ++i) {
        EXPECT_EQ(part.system.point_id(part.system.heads[i].point),
                  made.system.point_id(made.system.heads[at(part.head[i])].point));
        EXPECT_EQ(part.head_of[at(part.head[i])], static_cast<Index>(i));
    }
    EXPECT_TRUE(part.system.readings.empty());
}

}  // namespace
}  // namespace evenhead::solver
