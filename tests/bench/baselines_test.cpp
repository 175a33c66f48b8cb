// The baselines of the benchmarks solve what ours solves: all three agree, so that none is fast by being
// wrong. KINSOL is a general-purpose library's own Newton method; its answers stand for the equations.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numeric>

#include "bench/case_files.hpp"
#include "bench/drawing.hpp"
#include "bench/general.hpp"
#include "bench/ours.hpp"
#include "bench/systems.hpp"
#include "bench/textbook.hpp"
#include "bench/whole_graph.hpp"
#include "io/read/case.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::test {
namespace {

using namespace bench;

constexpr double same_pressure = 1e-6;  // psi, the bar of the issue

void expect_same(const std::vector<double>& pascals, const std::vector<double>& psis) {
    ASSERT_EQ(pascals.size(), psis.size());
    for (std::size_t i = 0; i < psis.size(); ++i) {
        if (std::isnan(psis[i])) {
            EXPECT_TRUE(std::isnan(pascals[i])) << "head " << i;
        } else {
            EXPECT_NEAR(pascals[i] / psi, psis[i], same_pressure) << "head " << i;
        }
    }
}

void expect_sensible(const std::vector<double>& psis) {
    const auto [low, high] = std::minmax_element(psis.begin(), psis.end());
    EXPECT_GT(*low, 25);
    EXPECT_LT(*high, 60);
}

std::vector<Index> all_valves(const model::System& system) {
    std::vector<Index> all(system.valves.size());
    std::iota(all.begin(), all.end(), 0);
    return all;
}

class Baselines : public testing::TestWithParam<RowOrder> {};

TEST_P(Baselines, AgreeWithEveryValveOpenAndWithOneShut) {
    const Built made = looped_system(2400, 3, GetParam());
    const solver::Network network = solver::build_network(made.system, made.layout);
    const std::vector<Index> all = all_valves(made.system);
    const solver::Network whole = whole_graph(made.system, network);
    std::vector<char> open = open_with(whole, all);

    Textbook textbook(made.system, whole);
    ASSERT_TRUE(textbook.solve(open));
    EXPECT_LE(textbook.steps(), 8);
    expect_sensible(textbook.head_pressures());
    const GeneralAnswer general = solve_by_general(made.system, whole, open);
    ASSERT_TRUE(general.solved);
    Ours ours(made.system, network);
    ours.prepare();
    ASSERT_TRUE(ours.solve().solved);
    expect_same(ours.head_pressures(), textbook.head_pressures());
    expect_same(ours.head_pressures(), general.head_pressure);

    const Index shut = 11;
    open[at(whole.first_valve + shut)] = 0;
    ASSERT_TRUE(textbook.solve_again(open));
    ASSERT_TRUE(ours.solve_without(shut).solved);
    const std::vector<double> without = ours.head_pressures();
    expect_same(without, textbook.head_pressures());
    const auto dry = std::count_if(without.begin(), without.end(), [](double p) { return std::isnan(p); });
    EXPECT_EQ(static_cast<std::size_t>(dry), made.layout.zone_heads[at(shut)].size());
    ASSERT_TRUE(ours.solve().solved);  // opens it again
    expect_same(ours.head_pressures(), general.head_pressure);
}

INSTANTIATE_TEST_SUITE_P(Orders, Baselines, testing::Values(RowOrder::drawing, RowOrder::shuffled));

TEST(Baselines, AgreeOnOneStationOfAGolfCourse) {
    const Built made = golf_course(3, 350);
    const solver::Network network = solver::build_network(made.system, made.layout);
    for (const Index run : {0, 123, 349}) {
        Textbook textbook(made.system, network);
        ASSERT_TRUE(textbook.solve(open_with(network, made.system.runs[at(run)].valves)));
        expect_same(solver::solve_run(made.system, made.layout, run).head_pressure,
                    textbook.head_pressures());
    }
}

TEST(Baselines, AgreeOnAParkWithMeterAndBackflowPreventer) {
    const Built made = park({600, 35}, 3);
    const solver::Network network = solver::build_network(made.system, made.layout);
    Textbook textbook(made.system, network);
    ASSERT_TRUE(textbook.solve(open_with(network, made.system.runs[0].valves)));
    expect_same(solver::solve_run(made.system, made.layout, 0).head_pressure, textbook.head_pressures());
}

// What the reading benchmark writes reads back as the system that was drawn.
TEST(CaseFiles, ReadBackAsTheSameSystem) {
    const std::filesystem::path folder =
        std::filesystem::path(testing::TempDir()) / "evenhead-bench-case-files";
    for (const Built& made : {looped_system(240, 3), park({200, 12}, 3), golf_course(3, 60)}) {
        const std::string path = write_case(made.system, folder).string();
        const io::CaseReading reading = io::read_case(path);
        std::filesystem::remove_all(folder);
        ASSERT_TRUE(reading.system) << reading.errors.front().text;
        EXPECT_EQ(reading.system->pipes.size(), made.system.pipes.size());
        EXPECT_EQ(reading.system->points.size(), made.system.points.size());
        ASSERT_EQ(reading.system->runs.size(), made.system.runs.size());
        const solver::RunResult read = solver::solve_run(*reading.system, reading.layout, 0);
        const solver::RunResult drawn = solver::solve_run(made.system, made.layout, 0);
        ASSERT_EQ(read.head_pressure.size(), drawn.head_pressure.size());
        for (std::size_t i = 0; i < read.head_pressure.size(); ++i) {
            if (std::isnan(drawn.head_pressure[i])) continue;
            EXPECT_NEAR(read.head_pressure[i] / psi, drawn.head_pressure[i] / psi, same_pressure);
        }
    }
}

}  // namespace
}  // namespace evenhead::test
