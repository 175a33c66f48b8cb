#include "solver/sizing/sizing.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <mutex>
#include <optional>

#include "model/position.hpp"
#include "solver/runs/runs.hpp"
#include "solver/sizing/answers.hpp"
#include "solver/sizing/components.hpp"
#include "solver/sizing/continuous.hpp"
#include "solver/sizing/enumeration.hpp"
#include "solver/sizing/loop_bound.hpp"
#include "solver/sizing/search.hpp"
#include "solver/sizing/tree_search.hpp"

namespace evenhead::solver {
namespace {

using Clock = std::chrono::steady_clock;

/// Whoever asked, and the clock: one for all that is asked, limit prices included.
class Patience {
  public:
    explicit Patience(const SizingOptions& options) : options_(options), begun_(Clock::now()) {}

    /// `best` and `bound` of the component at work; the others stand in `rest_*`.
    bool go_on(double best, double bound) {
        const std::lock_guard lock(mutex_);
        if (stopped_) return false;
        if (best < best_) best_ = best;
        if (bound > bound_) bound_ = bound;
        const std::chrono::duration<double> gone = Clock::now() - begun_;
        if (options_.time > 0 && gone.count() > options_.time) stopped_ = true;
        if (options_.progress && !options_.progress(shown())) stopped_ = true;
        return !stopped_;
    }
    /// Until the last is begun there is no design of the whole.
    void begin_component(bool last) {
        last_ = last;
        best_ = infinity;
        bound_ = 0;
    }
    /// `found`: infinite where nothing was.
    void end_component(double found, double bound) {
        rest_best_ += found;
        rest_bound_ += bound;
    }
    /// What is asked from now on changes nothing of the answer.
    void settle(const Sizing& sized) { settled_ = SizingProgress{sized.cost, sized.bound}; }
    bool stopped() const { return stopped_; }

  private:
    SizingProgress shown() const {
        if (settled_) return *settled_;
        return {last_ ? rest_best_ + best_ : infinity, rest_bound_ + bound_};
    }

    const SizingOptions& options_;
    Clock::time_point begun_;
    std::mutex mutex_;
    double best_ = infinity, bound_ = 0, rest_best_ = 0, rest_bound_ = 0;
    bool last_ = true, stopped_ = false;
    std::optional<SizingProgress> settled_;
};

double smallest_cost(const SizingProblem& problem) {
    double sum = 0;
    for (const OpenPipe& open : problem.open) sum += open.choices[at(open.cheapest())].cost;
    return sum;
}

Design cheapest_choices(const SizingProblem& problem) {
    Design design;
    for (const OpenPipe& open : problem.open) design.push_back(open.cheapest());
    return design;
}

/// As much work as takes the better part of a minute on two cores, by the size of the network.
long usual_evaluations(const TrialBasis& basis) {
    const auto rows = static_cast<double>(basis.problem.system.pipes.size() + 20);
    return static_cast<long>(std::clamp(6e9 / (rows * rows), 2e4, 2e6));
}

/// Linear programmes that take about as long as the search.
long usual_boxes(const TrialBasis& basis) {
    const double rows =
        static_cast<double>(basis.problem.system.pipes.size() + 10) * static_cast<double>(basis.pairs.size());
    return static_cast<long>(std::clamp(1e6 / rows, 20.0, 30000.0));
}

class ComponentSizing {
  public:
    ComponentSizing(const SizingProblem& problem, const SizingOptions& options, Patience& patience)
        : problem_(problem), options_(options), patience_(patience), basis_(problem) {}

    Sizing size() {
        result_.smallest = result_.bound = smallest_cost(problem_);
        if (problem_.runs.empty()) return size_dry();
        const auto pairs = static_cast<double>(basis_.pairs.size());
        if (problem_.designs() * pairs <= most_enumerated) {
            enumerate();
        } else {
            if (problem_.ordered) find_trees();
            search();
            if (result_.found && result_.cost <= result_.smallest * (1 + 1e-12)) {
                result_.proven = true;  // every pipe at its cheapest
                return std::move(result_);
            }
            if (!trees_.empty() && !result_.stopped) prove_tree();
            if (trees_.empty() && !result_.stopped && problem_.ordered && options_.bounds) bound_by_flows();
        }
        return std::move(result_);
    }

  private:
    int threads() const { return options_.threads > 0 ? options_.threads : default_threads(); }

    /// No water, no limit: the cheapest.
    Sizing size_dry() {
        result_.design = cheapest_choices(problem_);
        result_.found = result_.proven = problem_.may_grow || problem_.telescopes(result_.design);
        result_.cost = problem_.cost(result_.design);
        return std::move(result_);
    }

    void take(const Found& found) {
        if (!(found.cost < infinity)) return;
        result_.design = found.design;
        result_.cost = found.cost;
        result_.found = true;
    }

    void enumerate() {
        const Enumerated all = enumerate_designs(
            basis_, infinity, threads(), [&](double best) { return patience_.go_on(best, result_.bound); });
        result_.evaluations += all.balances;
        result_.bound = std::max(result_.bound, std::min(all.bound, all.best.cost));
        take(all.best);
        result_.proven = all.done;
        result_.stopped = !all.done;
        if (result_.found) return;
        // Empty where no design telescopes at all.
        result_.design = all.least_excess.empty() ? cheapest_choices(problem_) : all.least_excess;
        if (!all.done) search();
    }

    /// The trees that hold every open pipe, of the first pairs.
    void find_trees() {
        for (std::size_t pair = 0; pair < basis_.pairs.size() && pair < 12; ++pair) {
            if (!patience_.go_on(infinity, 0)) break;
            if (auto tree = find_tree(basis_, static_cast<int>(pair))) trees_.push_back(std::move(*tree));
        }
    }

    /// The tree whose first bound is the highest.
    const TreeZone& hardest_tree() {
        if (trees_.size() == 1) return trees_.front();
        const TreeZone* hardest = &trees_.front();
        double highest = -1;
        for (const TreeZone& tree : trees_) {
            if (!patience_.go_on(infinity, 0)) break;
            TreeSearchOptions once;
            once.most_boxes = 4;
            once.keep_going = [&](double, double least) { return patience_.go_on(infinity, least); };
            const TreeSearchResult bound = search_tree(basis_, tree, once);
            result_.evaluations += bound.balances;
            if (!(bound.bound > highest)) continue;
            highest = bound.bound;
            hardest = &tree;
        }
        return *hardest;
    }

    void prove_tree() {
        TreeSearchOptions options;
        options.known = result_.found ? result_.cost : infinity;
        options.known_design = result_.design;
        options.threads = threads();
        options.keep_going = [&](double best, double bound) { return patience_.go_on(best, bound); };
        const TreeSearchResult proven = search_tree(basis_, hardest_tree(), options);
        result_.evaluations += proven.balances;
        take(proven.best);
        result_.bound = std::max(result_.bound, proven.bound);
        result_.proven = proven.proven;
        result_.stopped |= !proven.proven && patience_.stopped();
    }

    void bound_by_flows() {
        LoopBoundOptions options;
        options.known = result_.found ? result_.cost : infinity;
        options.threads = threads();
        options.most_boxes = usual_boxes(basis_);
        if (options_.evaluations > 0)  // in proportion
            options.most_boxes = std::min(options.most_boxes, 20 + options_.evaluations / 40);
        options.keep_going = [&](double bound) { return patience_.go_on(options.known, bound); };
        const LoopBound bound = bound_loops(basis_, options);
        result_.bound = std::max(result_.bound, bound.cost);
        result_.proven = !result_.found && bound.proven;
        result_.stopped |= patience_.stopped();
    }

    void search() {
        SearchOptions search;
        search.seed = options_.seed;
        search.threads = threads();
        search.balances = options_.evaluations > 0 ? options_.evaluations
                          : !trees_.empty()        ? std::min(usual_evaluations(basis_), 60000L)
                          : options_.from.empty()  ? usual_evaluations(basis_)
                                                   : usual_evaluations(basis_) / 5;
        search.from = options_.from;
        if (search.from.empty() && problem_.ordered) {
            long balances = 0;
            search.from =
                continuous_start(basis_, balances, [&] { return patience_.go_on(infinity, result_.bound); });
            result_.evaluations += balances;
        }
        search.keep_going = [&](double best) { return patience_.go_on(best, result_.bound); };
        const SearchResult found = search_designs(basis_, search);
        result_.evaluations += found.balances;
        result_.stopped |= found.stopped;
        take(found.best);
        if (!result_.found) result_.design = found.least_excess;
    }

    const SizingProblem& problem_;
    const SizingOptions& options_;
    Patience& patience_;
    TrialBasis basis_;
    std::vector<TreeZone> trees_;
    Sizing result_;
};

/// The sizes alone, without what they tell. Options beside those of `patience`: where to begin, and bounds.
Sizing size_only(const SizingProblem& problem, const SizingOptions& options, Patience& patience) {
    Sizing whole;
    whole.design.assign(problem.open.size(), 0);
    whole.found = true;
    bool all_proven = true, impossible = false;
    const std::vector<SizingComponent> parts = split_problem(problem);
    for (const SizingComponent& part : parts) {
        SizingOptions own = options;
        if (!options.from.empty()) {
            own.from.clear();
            for (const std::size_t o : part.open) own.from.push_back(options.from[o]);
        }
        const SizingProblem component = problem_of(problem, part);
        patience.begin_component(&part == &parts.back());
        const Sizing sized = ComponentSizing(component, own, patience).size();
        patience.end_component(sized.found ? sized.cost : infinity, sized.bound);
        for (std::size_t o = 0; o < part.open.size(); ++o) whole.design[part.open[o]] = sized.design[o];
        whole.found &= sized.found;
        all_proven &= sized.proven;
        impossible |= sized.proven && !sized.found;
        whole.stopped |= sized.stopped;
        whole.smallest += sized.smallest;
        whole.bound += sized.bound;
        whole.evaluations += sized.evaluations;
    }
    whole.proven = impossible || all_proven;
    whole.cost = problem.cost(whole.design);
    // Sums of the same numbers in another order.
    if (whole.found) whole.bound = whole.proven ? whole.cost : std::min(whole.bound, whole.cost);
    // Rules of the whole system may see what no zone sees.
    if (whole.found && !passes_rules(problem, whole.design)) {
        whole.found = false;
        whole.proven = false;
    }
    return whole;
}

}  // namespace

Sizing size_pipes(const SizingProblem& problem, const SizingOptions& options) {
    Patience patience(options);
    Sizing whole = size_only(problem, options, patience);
    if (!whole.found) return whole;
    whole.binding = find_binding(problem, whole.design);
    if (!options.limit_prices || patience.stopped()) return whole;
    patience.settle(whole);
    SizingOptions again = options;
    again.bounds = false;
    again.from = whole.design;
    whole.limit_prices = find_limit_prices(
        problem, whole, [&](const SizingProblem& moved) { return size_only(moved, again, patience); });
    whole.stopped |= patience.stopped();
    return whole;
}

}  // namespace evenhead::solver
