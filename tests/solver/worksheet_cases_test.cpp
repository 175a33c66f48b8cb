// Identities of worksheet and rules over the shipped cases: every line's running pressure is the sum of the
// changes so far, the last is the nozzle's; and what the rules count agrees with a second count straight from
// their words.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <map>

#include "io/read/case.hpp"
#include "solver/balance/balance.hpp"
#include "solver/rules/rules.hpp"
#include "solver/worksheet/worksheet.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

namespace fs = std::filesystem;
using solver::RuleId;
using solver::RunResult;

std::size_t at(Index index) {
    return static_cast<std::size_t>(index);
}

class WorksheetCases : public ::testing::TestWithParam<std::string> {
  protected:
    WorksheetCases() {
        const std::string path = std::string(EVENHEAD_SOURCE_DIR) + "/cases/" + GetParam() + "/case.toml";
        reading = io::read_case(path);
        if (reading.system) network = solver::build_network(*reading.system, reading.layout);
    }
    const model::System& system() const { return *reading.system; }
    RunResult solve(const std::vector<Index>& open, Index run) {
        return solver::balance_run(system(), network, run, open);
    }
    io::CaseReading reading;
    solver::Network network;
};

TEST_P(WorksheetCases, LinesAddUpForEveryHeadThatRuns) {
    ASSERT_TRUE(reading.system) << (reading.errors.empty() ? "" : reading.errors.front().text);
    int sheets = 0;
    for (std::size_t r = 0; r < system().runs.size(); ++r) {
        const RunResult result = solve(system().runs[r].valves, static_cast<Index>(r));
        ASSERT_FALSE(result.failure) << system().runs[r].id;
        for (std::size_t h = 0; h < system().heads.size(); ++h) {
            if (std::isnan(result.head_pressure[h])) continue;
            const auto sheet = make_worksheet(system(), reading.layout, result, static_cast<Index>(h));
            double pressure = 0;
            for (const auto& line : sheet.lines) {
                pressure += line.change;
                EXPECT_NEAR(line.pressure, pressure, 1e-6);
                EXPECT_GE(line.flow, 0);
            }
            EXPECT_NEAR(pressure, result.head_pressure[h], 0.001 * psi);
            EXPECT_EQ(sheet.lines.front().item, "static");
            ++sheets;
        }
    }
    EXPECT_GT(sheets, 0);
}

TEST_P(WorksheetCases, PipeLinesAreTheLossesOfTheBalance) {
    ASSERT_TRUE(reading.system);
    const RunResult result = solve(system().runs[0].valves, 0);
    ASSERT_FALSE(result.failure);
    for (std::size_t h = 0; h < system().heads.size(); ++h) {
        if (std::isnan(result.head_pressure[h])) continue;
        std::map<Index, double> lost;
        for (const auto& line : make_worksheet(system(), reading.layout, result, static_cast<Index>(h)).lines)
            if (line.item == "pipe" || line.item == "fittings") lost[line.subject.index] -= line.change;
        for (const auto& [pipe, loss] : lost)
            EXPECT_NEAR(loss, std::abs(result.pipe_loss[at(pipe)]), 1e-5 * psi) << system().pipe_id(pipe);
        break;  // one head reaches most kinds of line; the sums above cover all heads
    }
}

TEST_P(WorksheetCases, FindingsAreCountedTwice) {
    ASSERT_TRUE(reading.system);
    const solver::RuleBasis basis = solver::prepare_rules(system(), reading.layout);
    const RunResult shut = solver::balance_shut(system(), network);
    for (std::size_t r = 0; r < system().runs.size(); ++r) {
        const std::vector<Index>& open = system().runs[r].valves;
        const RunResult result = solve(open, static_cast<Index>(r));
        RunResult without;
        const solver::RuleContext context{&basis, &shut, [&](Index valve) -> const RunResult& {
                                              std::vector<Index> rest = open;
                                              std::erase(rest, valve);
                                              without = solve(rest, static_cast<Index>(r));
                                              return without;
                                          }};
        const auto found = judge_run(system(), reading.layout, result, context);
        std::map<RuleId, std::size_t> counted, expected;
        double worst = -std::numeric_limits<double>::infinity();
        for (const auto& finding : found.findings) {
            ++counted[finding.rule];
            EXPECT_LT(finding.margin, 0);
            const double share = finding.limit == 0 ? worst : finding.margin / std::abs(finding.limit);
            EXPECT_GE(share, worst);
            worst = share;
        }
        const auto count = [&](RuleId rule, bool fails) {
            if (fails) ++expected[rule];
        };
        const double fastest = system().limits.count("velocity") != 0 && system().limits.at("velocity").value
                                   ? system().limits.at("velocity").value->value
                                   : 5 * foot;
        for (const double velocity : result.pipe_velocity) count(RuleId::velocity, velocity > fastest + 1e-6);
        for (std::size_t h = 0; h < system().heads.size(); ++h) {
            if (std::isnan(result.head_pressure[h])) continue;
            const model::Nozzle& nozzle = system().nozzles[at(system().heads[h].nozzle)];
            const auto wanted = solver::wanted_pressure(system(), static_cast<Index>(h));
            count(RuleId::head_pressure, wanted && result.head_pressure[h] < *wanted - 1);
            const double most = nozzle.max      ? nozzle.max->value
                                : nozzle.design ? 1.2 * nozzle.design->value
                                                : 1e12;
            count(RuleId::head_pressure, result.head_pressure[h] > most + 1);
        }
        for (const RuleId rule : {RuleId::velocity, RuleId::head_pressure})
            EXPECT_EQ(counted[rule], expected[rule]) << system().runs[r].id;
        if (std::getenv("SHOW") != nullptr)
            for (const auto& [rule, number] : counted)
                std::printf("%s %s: %s %zu\n", GetParam().c_str(), system().runs[r].id.c_str(),
                            std::string(solver::rule_table()[static_cast<std::size_t>(rule)].name).c_str(),
                            number);
    }
}

std::vector<std::string> shipped_cases() {
    std::vector<std::string> names;
    for (const auto& folder : fs::directory_iterator(std::string(EVENHEAD_SOURCE_DIR) + "/cases"))
        if (fs::exists(folder.path() / "case.toml")) names.push_back(folder.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
}

INSTANTIATE_TEST_SUITE_P(Shipped, WorksheetCases, ::testing::ValuesIn(shipped_cases()),
                         [](const auto& tested) {
                             std::string name = tested.param;
                             std::replace(name.begin(), name.end(), '-', '_');
                             return name;
                         });

}  // namespace
}  // namespace evenhead::test
