// Least cost of small trees against every combination of sizes, each checked as `check` does.
#include "solver/sizing/sizing.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <random>

#include "model/conditions.hpp"
#include "model/position.hpp"
#include "solver/runs/runs.hpp"
#include "solver/sizing/continuous.hpp"
#include "solver/sizing/loop_bound.hpp"
#include "solver/sizing/search.hpp"
#include "solver/sizing/tree_search.hpp"
#include "tests/solver/sizing_sample.hpp"

namespace evenhead::solver {
namespace {

/// Within limits as check says, in the case as given and under each condition, sizes taken from the kinds.
bool check_passes(const model::System& system, const std::vector<Index>& open,
                  const std::vector<int>& choice) {
    model::System sized = system;
    for (std::size_t i = 0; i < open.size(); ++i)
        sized.pipes[at(open[i])].size = sized.kinds[at(choice[i])].size;
    CheckOptions options;
    options.threads = 1;
    const auto nothing = [](const RunResult&, const RunFindings&) {};
    if (!check_runs(sized, model::find_layout(sized), options, nothing).within_limits) return false;
    for (const model::Condition& condition : system.conditions) {
        const model::System changed = model::under_condition(sized, condition);
        if (!check_runs(changed, model::find_layout(changed), options, nothing).within_limits) return false;
    }
    return true;
}

struct Brute {
    double cost = infinity;
    long tried = 0;
};

/// Every combination in which no pipe is larger than the one that ends where it begins.
Brute brute_force(const model::System& system) {
    std::vector<Index> open, feeder;
    for (std::size_t p = 0; p < system.pipes.size(); ++p) {
        if (!system.pipes[p].size->given_unknown) continue;
        open.push_back(static_cast<Index>(p));
        feeder.push_back(-1);
        for (std::size_t i = 0; i + 1 < open.size(); ++i)
            if (system.pipes[at(open[i])].to == system.pipes[p].from &&
                system.points[at(system.pipes[p].from)].kind == model::PointKind::head)
                feeder.back() = static_cast<Index>(i);
    }
    Brute best;
    std::vector<int> choice(open.size(), 0);
    const std::function<void(std::size_t, double)> go = [&](std::size_t i, double cost) {
        if (cost >= best.cost) return;
        if (i == open.size()) {
            ++best.tried;
            if (check_passes(system, open, choice)) best.cost = cost;
            return;
        }
        const int most = feeder[i] >= 0 ? choice[at(feeder[i])] : static_cast<int>(system.kinds.size()) - 1;
        for (choice[i] = 0; choice[i] <= most; ++choice[i])
            go(i + 1,
               cost + system.pipes[at(open[i])].length.value * system.prices[at(choice[i])].price.value);
    };
    go(0, 0);
    return best;
}

void expect_least(const test::SizingSample& sample, double least) {
    const auto made = make_sizing_problem(sample.system, sample.layout, {});
    ASSERT_TRUE(made.issues.empty());
    SizingOptions options;
    options.threads = 2;
    options.limit_prices = false;
    const Sizing sized = size_pipes(made.problem, options);
    EXPECT_TRUE(sized.proven);
    EXPECT_EQ(sized.found, least < infinity);
    if (sized.found) {
        EXPECT_NEAR(sized.cost, least, 1e-9 * least);
        EXPECT_LE(sized.bound, least * (1 + 1e-12));
    }
    // The branch and bound alone, which knows no design.
    const TrialBasis basis(made.problem);
    for (int pair = 0; pair < static_cast<int>(basis.pairs.size()); ++pair) {
        const auto zone = find_tree(basis, pair);
        ASSERT_TRUE(zone);
        TreeSearchOptions search;
        search.threads = 2;
        const TreeSearchResult tree = search_tree(basis, *zone, search);
        EXPECT_TRUE(tree.proven);
        if (least < infinity) {
            EXPECT_NEAR(tree.best.cost, least, 1e-9 * least);
        } else {
            EXPECT_EQ(tree.best.cost, infinity);
        }
        search.most_boxes = 1;
        EXPECT_LE(search_tree(basis, *zone, search).bound, least * (1 + 1e-9));
    }
}

TEST(Sizing, CostsWhatTheCheapestOfAllCombinationsCosts) {
    int feasible = 0;
    for (unsigned seed = 1; seed <= 60; ++seed) {
        SCOPED_TRACE("seed " + std::to_string(seed));
        test::SizingSampleOptions options;
        options.heads = 4 + static_cast<int>(seed % 4);
        options.sizes = seed % 4 == 3 ? 3 : 4;
        options.conditions = seed % 5 == 0;
        options.main_open = seed % 7 == 0;
        options.darcy_weisbach = seed % 6 == 1;
        const test::SizingSample sample = test::drawn_zone(seed, options);
        const Brute brute = brute_force(sample.system);
        feasible += brute.cost < infinity;
        expect_least(sample, brute.cost);
    }
    EXPECT_GE(feasible, 15);
    EXPECT_LE(feasible, 58);
}

/// The same where a rule set asks for less than the limits of one number: then what would be too fast, too
/// wide or too little by those must not be ruled out.
TEST(Sizing, RulesOutNothingThatLimitsByMaterialOfTheMeanOrOffAllow) {
    int feasible = 0, cheaper = 0;
    for (unsigned seed = 101; seed <= 300; ++seed) {
        SCOPED_TRACE("seed " + std::to_string(seed));
        test::SizingSampleOptions options;
        options.heads = 4 + static_cast<int>(seed % 3);
        options.sizes = seed % 3 == 2 ? 3 : 4;
        options.velocity_by_material = seed % 2 == 0;
        options.spread_of_mean = seed % 3 == 0;
        options.short_draws = seed % 4 == 1;
        const test::SizingSample sample = test::drawn_zone(seed, options);
        const double least = brute_force(sample.system).cost;
        feasible += least < infinity;
        expect_least(sample, least);
        // What the limits would cost without their materials, mean and off: else nothing is tested here.
        model::System plain = sample.system;
        plain.limits["velocity"].by_material = {};
        plain.limits["zone-spread"].base = model::Limit::Base::usual;
        plain.limits["short-flow"].off = false;
        cheaper += least < brute_force(plain).cost * (1 - 1e-9);
    }
    EXPECT_GE(feasible, 60);
    EXPECT_GE(cheaper, 10);
}

/// Where flows do not hang on sizes, pipes of several sizes rounded to the next larger keep every lower
/// limit.
TEST(Sizing, BeginsNearToTheLeastCostOfPipesOfSeveralSizes) {
    int feasible = 0;
    double started = 0, of_least = 0, of_largest = 0;
    for (unsigned seed = 401; seed <= 500; ++seed) {
        SCOPED_TRACE("seed " + std::to_string(seed));
        test::SizingSampleOptions options;
        options.heads = 5;
        options.constant_draws = true;
        const test::SizingSample sample = test::drawn_zone(seed, options);
        const double least = brute_force(sample.system).cost;
        const auto made = make_sizing_problem(sample.system, sample.layout, {});
        ASSERT_TRUE(made.issues.empty());
        long balances = 0;
        const Design start = continuous_start(TrialBasis(made.problem), balances, {});
        EXPECT_EQ(start.empty(), least == infinity);
        if (start.empty()) continue;
        ++feasible;
        EXPECT_TRUE(passes_rules(made.problem, start));
        EXPECT_GE(made.problem.cost(start), least * (1 - 1e-9));
        started += made.problem.cost(start);
        of_least += least;
        of_largest += made.problem.cost(largest_choices(made.problem));
    }
    EXPECT_GE(feasible, 30);
    EXPECT_LE(started, 1.25 * of_least);
    EXPECT_GE(of_largest, 1.5 * of_least);
}

/// A ring of open pipes round which more flows than heads draw: driven by a second supply, or by a pump on
/// it.
model::System drawn_ring(unsigned seed) {
    std::mt19937 random(seed);
    const auto between = [&](double low, double high) {
        return low + (high - low) * static_cast<double>(random()) / 4294967296.0;
    };
    test::SystemBuilder build;
    const bool pump = seed % 2 == 0;
    const double pressure = between(250e3, 350e3);
    build.supply("one", pressure);
    build.nozzle(200e3, between(0.5e-4, 2e-4));
    build.system.nozzles.front().min = model::Quantity{pressure * between(0.7, 0.97), 0};
    const double bores[] = {0.02, 0.03, 0.04};
    for (int i = 0; i < 3; ++i) {
        model::CustomSize& made = build.system.kinds.emplace_back();
        made.size.kind = "p";
        made.size.nominal = std::to_string(i + 1);
        made.size.bore = model::Quantity{bores[i], 0};
        made.size.c = model::Quantity{150, 0};
        build.system.prices.push_back(
            {"", "p " + made.size.nominal, model::Quantity{1 + i + between(0, 0.5), 0}, {}});
    }
    build.head("A");
    build.head("B");
    std::vector<std::pair<std::string, std::string>> ways{{"one", "A"}, {"A", "B"}};
    if (pump) {
        model::Device& made = build.device("pump", model::DeviceType::pump);
        made.rise = {{{0, 0}, {between(40e3, 90e3), 0}}, {{4e-3, 0}, {10e3, 0}}};
        ways.insert(ways.end(), {{"A", "pump"}, {"pump", "B"}});
    } else {
        build.supply("two", pressure * between(0.85, 0.98));
        ways.emplace_back("two", "B");
    }
    for (const auto& [from, to] : ways) {
        model::PipeSize& size = build.pipe(from, to, between(20, 60)).size.edit();
        size = build.system.kinds.front().size;
        size.nominal = "?";
        size.given_unknown = true;
        size.bore = {};
    }
    for (model::Point& point : build.system.points) point.elevation = model::Quantity{0, 0};
    build.system.limits["velocity"].value = model::Quantity{between(1, 4), 0};
    build.system.limits["data-range"].off = true;
    build.default_runs();
    return std::move(build.system);
}

TEST(Sizing, BoundsRingsThatMoreFlowsRoundThanHeadsDraw) {
    int feasible = 0, round = 0, bounded = 0;
    for (unsigned seed = 1; seed <= 80; ++seed) {
        SCOPED_TRACE("seed " + std::to_string(seed));
        const model::System system = drawn_ring(seed);
        const model::Layout layout = model::find_layout(system);
        SizingQuestion question;
        question.may_grow = true;
        const auto made = make_sizing_problem(system, layout, question);
        ASSERT_TRUE(made.issues.empty());
        const SizingProblem& problem = made.problem;
        std::vector<Index> open;
        for (const OpenPipe& pipe : problem.open) open.push_back(pipe.pipe);
        double least = infinity;
        std::vector<int> choice(open.size(), 0), best;
        for (bool more = true; more;) {
            const double cost = problem.cost(choice);
            if (cost < least && check_passes(system, open, choice)) {
                least = cost;
                best = choice;
            }
            std::size_t i = 0;
            while (i < choice.size() && ++choice[i] == 3) choice[i++] = 0;
            more = i < choice.size();
        }
        LoopBoundOptions options;
        options.most_boxes = 400;
        const LoopBound bound = bound_loops(TrialBasis(problem), options);
        EXPECT_LE(bound.cost, least * (1 + 1e-9));
        if (least == infinity) continue;
        ++feasible;
        bounded += bound.cost > 0;
        CheckOptions check;
        check.threads = 1;
        check_runs(problem.sized(0, best), layout, check, [&](const RunResult& result, const RunFindings&) {
            round += std::any_of(result.pipe_flow.begin(), result.pipe_flow.end(),
                                 [&](double flow) { return std::abs(flow) > result.flow * 1.01; });
        });
    }
    EXPECT_GE(feasible, 30);
    EXPECT_GE(round, 20);
    EXPECT_GE(bounded, 20);
}

}  // namespace
}  // namespace evenhead::solver
