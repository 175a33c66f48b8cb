// Simulated annealing over designs. With c a design's cost, C that of the largest choices and x how far it is
// outside its limits (a share, see Judgement), what is made small is
//
//     f = c / C + w x
//
// A step changes one pipe by a size or two (and whatever must go along with it to telescope) and is taken
// where f falls by it, or by chance exp(-rise / T). T falls by the same factor from step to step. The weight
// w rises by a little where the design stands outside and falls where it stands within, so that the search
// goes to and fro over the edge of the limits, where the cheap designs are.
#include "solver/sizing/search.hpp"

#include <algorithm>
#include <cmath>
#include <mutex>
#include <random>
#include <set>

#include "model/position.hpp"
#include "solver/parallel.hpp"

namespace evenhead::solver {
namespace {

constexpr int starts = 8;

class Start {
  public:
    Start(const TrialBasis& basis, unsigned seed, long balances, const KeepGoing& keep_going,
          std::atomic<bool>& stopped, const Design& from)
        : basis_(basis),
          problem_(basis.problem),
          random_(seed),
          balances_(balances),
          keep_going_(keep_going),
          stopped_(stopped),
          trial_(basis, from.empty() ? largest_choices(basis.problem) : from),
          excess_of_(basis.pairs.size(), 0) {
        for (const OpenPipe& open : problem_.open) {
            least_possible_ += open.choices[at(open.cheapest())].cost * (1 + 1e-13);
        }
    }

    SearchResult run() {
        judge_all();
        note();
        descend();
        if (problem_.open.size() > 1 || basis_.problem.open[0].choices.size() > 1) {
            anneal();
            if (result_.best.cost < infinity) {
                take(result_.best.design);
                exchange();
            }
        }
        result_.balances = trial_.balances();
        result_.stopped = stopped_;
        return std::move(result_);
    }

  private:
    double cost_scale() const {
        double scale = 0;
        for (const OpenPipe& open : problem_.open)
            for (const SizingChoice& choice : open.choices) scale = std::max(scale, choice.cost);
        return std::max(scale * static_cast<double>(problem_.open.size()), 1e-300);
    }

    bool out_of_work() {
        if (trial_.balances() >= balances_ || stopped_ || result_.best.cost <= least_possible_) return true;
        if (keep_going_ && trial_.balances() >= next_word_) {
            next_word_ = trial_.balances() + 200;
            if (!keep_going_(result_.best.cost)) stopped_ = true;
        }
        return stopped_;
    }

    void judge_all() {
        total_ = 0;
        for (std::size_t pair = 0; pair < excess_of_.size(); ++pair)
            total_ += excess_of_[pair] = trial_.judge(static_cast<int>(pair)).excess;
        cost_ = problem_.cost(trial_.design());
    }
    void take(const Design& design) {
        trial_.set(design);
        judge_all();
    }

    /// Keeps the present design where it is the best so far. Designs that the fast judgement lets through and
    /// the rules do not are remembered as outside.
    void note() {
        if (total_ > 0) {
            if (result_.best.cost == infinity && total_ < result_.excess) {
                result_.excess = total_;
                result_.least_excess = trial_.design();
            }
            return;
        }
        if (!(cost_ < result_.best.cost * (1 - 1e-12)) || refused_.contains(trial_.design())) return;
        if (trial_.passes()) {
            result_.best = {trial_.design(), cost_};
        } else if (refused_.size() < 100000) {
            refused_.insert(trial_.design());
            if (result_.best.cost == infinity && 0.1 < result_.excess) {
                result_.excess = 0.1;
                result_.least_excess = trial_.design();
            }
        }
    }

    struct Before {
        std::vector<std::pair<std::size_t, int>> choices;
        std::vector<std::pair<int, double>> excess;
        double total, cost;
    };
    /// Moves to `design`, which differs in `changed`; undo() leads back.
    bool move(const Design& design, const std::vector<std::size_t>& changed, double most) {
        before_.choices.clear();
        before_.excess.clear();
        before_.total = total_;
        before_.cost = cost_;
        pairs_.clear();
        for (const std::size_t o : changed) {
            const int from = trial_.design()[o], to = design[o];
            if (from == to) continue;
            before_.choices.emplace_back(o, from);
            cost_ += problem_.open[o].choices[at(to)].cost - problem_.open[o].choices[at(from)].cost;
            trial_.set(o, to);
            pairs_.insert(pairs_.end(), basis_.pairs_of_open[o].begin(), basis_.pairs_of_open[o].end());
        }
        std::sort(pairs_.begin(), pairs_.end());
        pairs_.erase(std::unique(pairs_.begin(), pairs_.end()), pairs_.end());
        // Those that were outside first: where they stay so, the others need not be asked.
        std::stable_sort(pairs_.begin(), pairs_.end(),
                         [&](int a, int b) { return excess_of_[at(a)] > excess_of_[at(b)]; });
        double sum = total_;
        for (const int pair : pairs_) sum -= excess_of_[at(pair)];
        sum = std::max(sum, 0.0);
        for (const int pair : pairs_) {
            before_.excess.emplace_back(pair, excess_of_[at(pair)]);
            sum += excess_of_[at(pair)] = trial_.judge(pair).excess;
            if (sum > most) break;
        }
        total_ = sum < 1e-15 ? 0 : sum;
        return sum <= most;
    }
    void undo() {
        for (const auto& [o, choice] : before_.choices) trial_.set(o, choice);
        for (const auto& [pair, excess] : before_.excess) excess_of_[at(pair)] = excess;
        total_ = before_.total;
        cost_ = before_.cost;
    }

    int next_cheaper(std::size_t o, int choice) const {
        const auto& choices = problem_.open[o].choices;
        for (int c = choice - 1; c >= 0; --c)
            if (choices[at(c)].cost < choices[at(choice)].cost) return c;
        return -1;
    }

    /// One size after the other comes down where the limits allow it, what saves most first.
    void descend() {
        if (total_ > 0) return;
        std::vector<char> stuck(problem_.open.size(), 0);
        while (!out_of_work()) {
            std::size_t best = problem_.open.size();
            double most = 0;
            for (std::size_t o = 0; o < problem_.open.size(); ++o) {
                const int here = trial_.design()[o], down = stuck[o] ? -1 : next_cheaper(o, here);
                if (down < 0) continue;
                const double saving =
                    problem_.open[o].choices[at(here)].cost - problem_.open[o].choices[at(down)].cost;
                if (saving > most) {
                    most = saving;
                    best = o;
                }
            }
            if (best == problem_.open.size()) break;
            Design design = trial_.design();
            changed_.clear();
            if (!change_telescoping(problem_, design, best, next_cheaper(best, design[best]), changed_)) {
                stuck[best] = 1;
            } else if (tidy_changed(); !move(design, changed_, 0)) {
                undo();
                stuck[best] = 1;
            }
        }
        note();
    }

    void anneal() {
        std::vector<std::size_t> free;
        for (std::size_t o = 0; o < problem_.open.size(); ++o)
            if (problem_.open[o].choices.size() > 1) free.push_back(o);
        if (free.empty()) return;
        const double scale = cost_scale();
        const long first = trial_.balances(), work = std::max(1L, (balances_ - first) * 9 / 10);
        constexpr double hot = 3e-3, cold = 1e-6;
        double weight = 1;
        std::uniform_real_distribution<double> chance(0, 1);
        double temperature = hot;
        int again = 0;
        long idle = 0;
        while (!out_of_work()) {
            const double progress =
                static_cast<double>(trial_.balances() - first) / static_cast<double>(work);
            if (progress >= 1) break;
            temperature = hot * std::pow(cold / hot, progress);
            const std::size_t o =
                free[std::uniform_int_distribution<std::size_t>(0, free.size() - 1)(random_)];
            const int here = trial_.design()[o], last = static_cast<int>(problem_.open[o].choices.size()) - 1;
            const int step = chance(random_) < 0.85 ? 1 : 2;
            int to = chance(random_) < 0.5 ? here - step : here + step;
            to = std::clamp(to, 0, last);
            if (to == here && ++again < 1000) continue;
            again = 0;
            Design design = trial_.design();
            changed_.clear();
            if (!change_telescoping(problem_, design, o, to, changed_)) {
                if (++idle > 100'000) break;
                continue;
            }
            // A second pipe the other way keeps the flow of water about the same.
            if (chance(random_) < 0.3) {
                const std::size_t p =
                    free[std::uniform_int_distribution<std::size_t>(0, free.size() - 1)(random_)];
                const int other = design[p] + (to > here ? -1 : 1);
                if (p != o && other >= 0 && other < static_cast<int>(problem_.open[p].choices.size()) &&
                    !change_telescoping(problem_, design, p, other, changed_))
                    continue;
            }
            const double f = cost_ / scale + weight * total_;
            double new_cost = cost_;
            tidy_changed();
            for (const std::size_t c : changed_)
                new_cost += problem_.open[c].choices[at(design[c])].cost -
                            problem_.open[c].choices[at(trial_.design()[c])].cost;
            // Drawn first: what is surely refused need not be balanced to the end.
            const double allowed = f - temperature * std::log(std::max(chance(random_), 1e-300));
            const double most = (allowed - new_cost / scale) / weight;
            if (most < 0) {
                if (++idle > 100'000) break;  // nothing is to be had any more
                continue;
            }
            idle = 0;
            if (move(design, changed_, most)) {
                note();
            } else {
                undo();
            }
            weight = std::clamp(weight * (total_ > 0 ? 1.003 : 0.997), 1e-3, 1e4);
        }
    }
    void tidy_changed() {
        std::sort(changed_.begin(), changed_.end());
        changed_.erase(std::unique(changed_.begin(), changed_.end()), changed_.end());
    }

    /// From the best design: any choice cheaper, alone or with another pipe made larger, until none is left.
    void exchange() {
        bool better = true;
        while (better && !out_of_work()) {
            better = false;
            for (std::size_t down = 0; down < problem_.open.size() && !out_of_work(); ++down) {
                for (int to = trial_.design()[down] - 1; to >= 0; --to)
                    better |= try_exchange(down, to, down, 0);
                for (std::size_t up = 0; up < problem_.open.size() && !out_of_work(); ++up) {
                    if (up == down) continue;
                    const int last = static_cast<int>(problem_.open[up].choices.size()) - 1;
                    for (int d = 1; d <= 2 && trial_.design()[down] - d >= 0; ++d)
                        for (int u = 1; u <= 2 && trial_.design()[up] + u <= last; ++u)
                            better |= try_exchange(down, trial_.design()[down] - d, up, u);
                }
            }
        }
    }
    bool try_exchange(std::size_t down, int to, std::size_t up, int by) {
        if (to < 0) return false;
        Design design = trial_.design();
        changed_.clear();
        if (!change_telescoping(problem_, design, down, to, changed_)) return false;
        if (by > 0 && !change_telescoping(problem_, design, up, design[up] + by, changed_)) return false;
        if (!(problem_.cost(design) < cost_ * (1 - 1e-12)) || refused_.contains(design)) return false;
        tidy_changed();
        if (!move(design, changed_, 0)) {
            undo();
            return false;
        }
        const double before = result_.best.cost;
        note();
        if (result_.best.cost < before) return true;
        undo();
        return false;
    }

    const TrialBasis& basis_;
    const SizingProblem& problem_;
    std::mt19937 random_;
    long balances_, next_word_ = 0;
    const KeepGoing& keep_going_;
    std::atomic<bool>& stopped_;
    Trial trial_;
    std::vector<double> excess_of_;  // by pair
    double total_ = 0, cost_ = 0, least_possible_ = 0;
    SearchResult result_;
    std::set<Design> refused_;
    Before before_;
    std::vector<std::size_t> changed_;
    std::vector<int> pairs_;
};

/// As small as the pipes that feed it, where that is possible.
void lower_to_feeder(const SizingProblem& problem, Design& design, std::size_t o) {
    const Index feeder = problem.open[o].feeder;
    if (feeder == model::none) return;
    const int of = problem.open_of_pipe[at(feeder)];
    if (of >= 0 && at(of) > o) lower_to_feeder(problem, design, at(of));
    const auto& before = of >= 0 ? *problem.open[at(of)].choices[at(design[at(of)])].size
                                 : *problem.system.pipes[at(feeder)].size;
    while (design[o] > 0 && exceeds(*problem.open[o].choices[at(design[o])].size, before)) --design[o];
}

}  // namespace

Design largest_choices(const SizingProblem& problem) {
    Design design;
    for (const OpenPipe& open : problem.open) design.push_back(static_cast<int>(open.choices.size()) - 1);
    for (std::size_t o = 0; o < design.size(); ++o) lower_to_feeder(problem, design, o);
    return design;
}

bool change_telescoping(const SizingProblem& problem, Design& design, std::size_t open_pipe, int choice,
                        std::vector<std::size_t>& changed) {
    const bool down = choice < design[open_pipe];
    design[open_pipe] = choice;
    changed.push_back(open_pipe);
    if (problem.may_grow) return true;
    if (down) {
        // What it feeds comes down to it.
        for (std::size_t o = 0; o < problem.open.size(); ++o) {
            if (problem.open[o].feeder != problem.open[open_pipe].pipe) continue;
            int to = design[o];
            const model::PipeSize& feeder = *problem.open[open_pipe].choices[at(choice)].size;
            while (to > 0 && exceeds(*problem.open[o].choices[at(to)].size, feeder)) --to;
            if (exceeds(*problem.open[o].choices[at(to)].size, feeder)) return false;
            if (to != design[o] && !change_telescoping(problem, design, o, to, changed)) return false;
        }
    }
    const Index feeder = problem.open[open_pipe].feeder;
    if (feeder == model::none) return true;
    const model::PipeSize& size = *problem.open[open_pipe].choices[at(design[open_pipe])].size;
    const int of = problem.open_of_pipe[at(feeder)];
    if (of < 0) return !exceeds(size, *problem.system.pipes[at(feeder)].size);
    const std::vector<SizingChoice>& choices = problem.open[at(of)].choices;
    int to = design[at(of)];
    while (to + 1 < static_cast<int>(choices.size()) && exceeds(size, *choices[at(to)].size)) ++to;
    if (exceeds(size, *choices[at(to)].size)) return false;
    return to == design[at(of)] || change_telescoping(problem, design, at(of), to, changed);
}

SearchResult search_designs(const TrialBasis& basis, const SearchOptions& options) {
    std::vector<SearchResult> results(starts);
    std::atomic<bool> stopped = false;
    std::mutex mutex;
    double best = infinity;
    const KeepGoing keep_going = [&](double cost) {
        const std::lock_guard lock(mutex);
        best = std::min(best, cost);
        return !options.keep_going || options.keep_going(best);
    };
    in_parallel(
        static_cast<std::size_t>(std::max(1, options.threads)), starts, [&](std::size_t, std::size_t i) {
            results[i] =
                Start(basis, options.seed * 1000003U + static_cast<unsigned>(i), options.balances / starts,
                      keep_going, stopped, i % 2 == 0 ? options.from : Design())
                    .run();
        });
    SearchResult best_of;
    for (SearchResult& result : results) {
        best_of.balances += result.balances;
        best_of.stopped |= result.stopped;
        if (result.best.cost < best_of.best.cost * (1 - 1e-12)) best_of.best = result.best;
        if (result.excess < best_of.excess) {
            best_of.excess = result.excess;
            best_of.least_excess = result.least_excess;
        }
    }
    return best_of;
}

}  // namespace evenhead::solver
