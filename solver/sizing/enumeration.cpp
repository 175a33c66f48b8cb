#include "solver/sizing/enumeration.hpp"

#include <algorithm>
#include <memory>
#include <numeric>

#include "model/position.hpp"
#include "solver/parallel.hpp"

namespace evenhead::solver {
namespace {

/// Every design that telescopes and costs no more than `most`; smallest choices vary fastest.
class Lister {
  public:
    Lister(const SizingProblem& problem, double most) : problem_(problem), most_(most) {
        cheapest_rest_.assign(problem.open.size() + 1, 0);
        for (std::size_t o = problem.open.size(); o-- > 0;) {
            const OpenPipe& open = problem.open[o];
            cheapest_rest_[o] = cheapest_rest_[o + 1] + open.choices[at(open.cheapest())].cost;
        }
    }
    std::vector<Design> list() {
        design_.assign(problem_.open.size(), 0);
        add(0, 0);
        return std::move(designs_);
    }

  private:
    void add(std::size_t o, double cost) {
        if (cost + cheapest_rest_[o] > most_) return;
        if (o == problem_.open.size()) {
            if (problem_.may_grow || problem_.telescopes(design_)) designs_.push_back(design_);
            return;
        }
        for (std::size_t c = 0; c < problem_.open[o].choices.size(); ++c) {
            design_[o] = static_cast<int>(c);
            add(o + 1, cost + problem_.open[o].choices[c].cost);
        }
    }

    const SizingProblem& problem_;
    double most_;
    std::vector<double> cheapest_rest_;
    Design design_;
    std::vector<Design> designs_;
};

}  // namespace

Enumerated enumerate_designs(const TrialBasis& basis, double most, int threads, const KeepGoing& keep_going) {
    const SizingProblem& problem = basis.problem;
    const std::vector<Design> designs = Lister(problem, most).list();
    std::vector<double> cost;
    cost.reserve(designs.size());
    for (const Design& design : designs) cost.push_back(problem.cost(design));
    std::vector<std::size_t> order(designs.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return cost[a] < cost[b]; });

    Enumerated result;
    const auto workers = static_cast<std::size_t>(std::max(1, threads));
    std::vector<std::unique_ptr<Trial>> trials(workers);
    constexpr std::size_t batch = 512;
    std::vector<double> excess(batch);
    double least = infinity;
    bool stopped = false;
    for (std::size_t first = 0; first < order.size(); first += batch) {
        const std::size_t count = std::min(batch, order.size() - first);
        result.bound = cost[order[first]];
        stopped = keep_going && !keep_going(infinity);
        if (stopped) break;
        in_parallel(workers, count, [&](std::size_t worker, std::size_t i) {
            const Design& design = designs[order[first + i]];
            if (!trials[worker]) trials[worker] = std::make_unique<Trial>(basis, design);
            trials[worker]->set(design);
            excess[i] = trials[worker]->excess(least);
        });
        for (std::size_t i = 0; i < count; ++i) {
            const Design& design = designs[order[first + i]];
            if (excess[i] == 0 && passes_rules(problem, design)) {
                result.best = {design, cost[order[first + i]]};
                result.bound = result.best.cost;
                result.done = true;
                break;
            }
            if (const double here = std::max(excess[i], 1e-9); here < least) {
                least = here;
                result.least_excess = design;
            }
        }
        if (result.done) break;
    }
    if (!result.done && !stopped) result.bound = most;
    result.done = !stopped;
    for (const auto& trial : trials)
        if (trial) result.balances += trial->balances();
    return result;
}

}  // namespace evenhead::solver
