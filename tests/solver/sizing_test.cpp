// Least cost of small trees against every combination of sizes, each checked as `check` does.
#include "solver/sizing/sizing.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "model/conditions.hpp"
#include "model/position.hpp"
#include "solver/runs/runs.hpp"
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

}  // namespace
}  // namespace evenhead::solver
