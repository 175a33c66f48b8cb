// Regulators that share a downstream part, or lead back upstream, have no order in which they could be
// settled one after the other. Each is open (its loss law), holding (its outlet fixed at the set height, its
// inlet drawing what the outlet feeds) or shut. From all open, those that break the condition of their state
// change it, until all keep it; where a set of states comes back, only the first one changes. Where there are
// few, every set is tried as well: if two sets keep every condition and differ in their flows, there is more
// than one balance, and none is printed.
#include "solver/balance/shared_regulators.hpp"
#include "model/position.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

namespace evenhead::solver {
namespace {

constexpr double height_tolerance = 1e-7;  // m: a condition counts as kept within this
constexpr std::size_t most_tried = 5;      // shared regulators whose 3^n sets of states are all tried
constexpr int most_passes = 60;

enum class Mode { open, holding, shut };
using Modes = std::vector<Mode>;

class Shared {
  public:
    Shared(LinkSolver& solver, const Parts& parts, const std::vector<double>& nominal,
           const SolveAll& solve_all)
        : solver_(solver),
          network_(solver.network()),
          parts_(parts),
          shared_(parts.shared),
          nominal_(nominal),
          solve_all_(solve_all) {}

    void run() {
        Modes modes(shared_.size(), Mode::open);
        std::vector<Modes> answers;
        if (settle(modes)) answers.push_back(modes);
        State answer = solver_.state();
        if (shared_.size() <= most_tried) try_all(modes, answers, answer);
        if (answers.size() > 1) {
            report("several-states", "More than one set of their states satisfies all of them.");
        } else if (answers.empty() && !solver_.report().failure) {
            report("contradiction", "No set of their states satisfies all of them.");
        }
        solver_.state() = std::move(answer);
    }

  private:
    // Changes states until all conditions are kept.
    bool settle(Modes& modes) {
        std::set<Modes> visited;
        for (int pass = 0; pass < most_passes; ++pass) {
            std::vector<std::pair<std::size_t, Mode>> broken;
            if (!keeps_all(modes, broken)) {
                if (broken.empty()) return false;  // not solved
                const bool again = !visited.insert(modes).second;
                if (again) broken.resize(1);
                for (const auto& [i, mode] : broken) modes[i] = mode;
                if (again && visited.count(modes)) return false;
                continue;
            }
            return true;
        }
        return false;
    }

    // Every other set of states; answers gets those that are another balance. Not counted among the steps of
    // the run.
    void try_all(const Modes& first, std::vector<Modes>& answers, State& answer) {
        const SolveReport report = solver_.report();
        const bool record = solver_.records_steps();
        solver_.record_steps(false);
        std::size_t sets = 1;
        for (std::size_t i = 0; i < shared_.size(); ++i) sets *= 3;
        for (std::size_t set = 0; set < sets && answers.size() < 2; ++set) {
            Modes modes;
            for (std::size_t i = 0, rest = set; i < shared_.size(); ++i, rest /= 3)
                modes.push_back(static_cast<Mode>(rest % 3));
            if (!answers.empty() && modes == first) continue;
            std::vector<std::pair<std::size_t, Mode>> broken;
            if (!keeps_all(modes, broken)) continue;
            if (answers.empty())
                answer = solver_.state();
            else if (!differ(answer, solver_.state()))
                continue;
            answers.push_back(modes);
        }
        solver_.report() = report;
        if (!answers.empty()) solver_.report().failure.reset();
        solver_.record_steps(record);
    }

    // By what regulators, supplies and heads pass: a ring of still water may carry a trickle that nothing
    // determines.
    bool differ(const State& a, const State& b) const {
        for (std::size_t e = 0; e < a.flow.size(); ++e) {
            const Element& of = network_.elements[e];
            if (!of.regulates() && of.tail != fixed && of.head != fixed) continue;
            if (std::abs(a.flow[e] - b.flow[e]) > 1e-6 * solver_.total_flow()) return true;
        }
        return false;
    }

    bool solve(const Modes& modes) {
        const auto add_regulators = [&](Links& links) {
            for (std::size_t i = 0; i < shared_.size(); ++i) {
                const int r = shared_[i];
                solver_.state().flow[at(r)] = 0;  // where no link stands for it
                if (modes[i] == Mode::open) solver_.add_open(r, links);
                if (modes[i] == Mode::holding)
                    solver_.add_holding(r, nominal_[at(parts_.below(network_, r))], true, links);
            }
        };
        const bool warm = std::exchange(warm_, true);
        return solve_all_(add_regulators, warm);
    }

    bool keeps_all(const Modes& modes, std::vector<std::pair<std::size_t, Mode>>& broken) {
        if (!solve(modes)) return false;
        State spread = solver_.state();
        for (std::size_t i = 0; i < shared_.size(); ++i) {
            if (modes[i] == Mode::shut) spread.active[at(shared_[i])] = 0;
        }
        spread_still_heights(network_, spread);
        for (std::size_t i = 0; i < shared_.size(); ++i) {
            const Mode should = condition(i, modes[i], spread);
            if (should != modes[i]) broken.emplace_back(i, should);
        }
        return broken.empty();
    }

    // The state that regulator i should take after a solve in which it had `mode`: the same where it keeps
    // its condition.
    Mode condition(std::size_t i, Mode mode, const State& spread) const {
        const Element& of = network_.elements[at(shared_[i])];
        const double inlet = spread.height[at(of.tail)], outlet = spread.height[at(of.head)];
        const double at_rest = std::isnan(inlet) ? -infinity : inlet - of.law->losses(0).high;
        const double fed = solver_.fed(shared_[i]);
        switch (mode) {
            case Mode::open:
                return outlet > of.held_height + height_tolerance ? Mode::holding : mode;
            case Mode::holding:
                if (fed < -1e-15) return Mode::shut;
                if (fed <= 0) return at_rest >= of.held_height - height_tolerance ? mode : Mode::open;
                return solver_.draws_all(shared_[i]) ? mode : Mode::open;
            case Mode::shut:
                if (outlet >= std::min(at_rest, of.held_height) - height_tolerance) return mode;
                return at_rest >= of.held_height ? Mode::holding : Mode::open;
        }
        return mode;
    }

    void report(const char* kind, const char* text) {
        Failure failure;
        failure.kind = kind;
        for (const int r : shared_) {
            const Element& of = network_.elements[at(r)];
            failure.elements.push_back(of.ref);
            const auto pressure = [&](double height) {
                return (height - network_.node_elevation[at(of.head)]) / network_.metres_per_pascal;
            };
            failure.points.push_back({of.ref, pressure(solver_.state().height[at(of.head)]),
                                      pressure(of.held_height), model::Dimension::pressure});
        }
        failure.text =
            std::string("These regulators feed the same part of the system or each other. ") + text;
        failure.cause = "Pressures set at different regulators of one part work against each other.";
        failure.remedy =
            "Let one regulator feed each part, or set them apart by more than the losses between them.";
        solver_.report().failure = std::move(failure);
    }

    LinkSolver& solver_;
    const Network& network_;
    const Parts& parts_;
    const std::vector<int>& shared_;
    const std::vector<double>& nominal_;
    const SolveAll& solve_all_;
    bool warm_ = false;
};

}  // namespace

void solve_shared_regulators(LinkSolver& solver, const Parts& parts, const std::vector<double>& nominal,
                             const SolveAll& solve_all) {
    Shared(solver, parts, nominal, solve_all).run();
}

}  // namespace evenhead::solver
