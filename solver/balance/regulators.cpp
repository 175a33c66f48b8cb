// Regulating valves: which of them hold their set pressure.
//
// Take the regulators away and the network falls into parts. Let regulator r be the only way into part V, and
// the same be true of every regulator that leads on from V: V is owned. Held at its set height, V and what
// lies beyond draw a flow c_r that depends on nothing upstream. With less height V draws less, since every
// law rises. So r and V together are one rising curve: seen from upstream, r is its own loss law with a most
// flow c_r.
//
// All regulators hold at first: every part is solved with its outlets fixed at their set heights and its inlets
// drawing, against their set heights, what the outlets feed, all at once. A regulator whose inlet has not the
// height to draw that much is wanting: it cannot hold, and its part joins the one upstream, r open. While it drew
// against its set height it took less than open (its outlet would sink), and beyond it the same is true; so
// draws are never overestimated, nor heights upstream underestimated: a regulator found wanting stays wanting
// when others join as well. Joining is for good, and the passes end after at most one for each regulator.
#include <algorithm>
#include <utility>

#include "model/position.hpp"
#include "solver/balance/link_solver.hpp"
#include "solver/balance/parts.hpp"
#include "solver/balance/shared_regulators.hpp"

namespace evenhead::solver {
namespace {

class Regulators {
  public:
    Regulators(LinkSolver& solver, Parts parts)
        : solver_(solver),
          network_(solver.network()),
          parts_(std::move(parts)),
          nominal_(parts_.owned.size(), 0.0),
          joined_(network_.elements.size(), 0) {
        order_owned();
        sum_nominal_flows();
    }

    void run() {
        const SolveAll solve_all = [&](const std::function<void(Links&)>& more, bool warm) {
            return solve(more, warm);
        };
        if (parts_.shared.empty()) {
            solve([](Links&) {}, false);
        } else {
            solve_shared_regulators(solver_, parts_, nominal_, solve_all);
        }
    }

  private:
    int below(int r) const { return parts_.below(network_, r); }
    bool owns(int r) const { return parts_.owned[at(below(r))]; }

    // Owning regulators, those that lead on from a part before the one that leads into it.
    void order_owned() {
        std::vector<int> stack;
        for (const int r : parts_.regulators) {
            if (owns(r) && !parts_.owned[at(parts_.above(network_, r))]) stack.push_back(r);
        }
        while (!stack.empty()) {
            const int r = stack.back();
            stack.pop_back();
            owning_.push_back(r);
            for (const int next : parts_.leading_on[at(below(r))]) stack.push_back(next);
        }
        std::reverse(owning_.begin(), owning_.end());
    }

    void sum_nominal_flows() {
        for (std::size_t part = 0; part < nominal_.size(); ++part) {
            for (const int e : parts_.elements[part]) {
                if (e >= network_.first_head)
                    nominal_[part] += network_.nominal_flow[at(e - network_.first_head)];
            }
        }
        for (const int r : owning_) nominal_[at(parts_.above(network_, r))] += nominal_[at(below(r))];
    }

    // Solves all parts with what `more` adds, joining those whose regulators are wanting until none is.
    bool solve(const std::function<void(Links&)>& more, bool warm) {
        std::fill(joined_.begin(), joined_.end(), 0);
        for (;; warm = true) {
            Links links;
            for (const std::vector<int>& elements : parts_.elements) {
                for (const int e : elements) solver_.add_element(e, links);
            }
            for (const int r : owning_) {
                if (joined_[at(r)]) {
                    solver_.add_open(r, links);
                } else if (nominal_[at(below(r))] > 0) {
                    solver_.add_holding(r, nominal_[at(below(r))], false, links);
                }
            }
            more(links);
            if (!solver_.solve(std::move(links), warm)) return false;
            bool joins = false;
            for (const int r : owning_) {
                if (joined_[at(r)] || solver_.draws_all(r)) continue;
                joined_[at(r)] = joins = true;
            }
            if (!joins) return true;
        }
    }

    LinkSolver& solver_;
    const Network& network_;
    Parts parts_;
    std::vector<int> owning_;      // owning regulators, leaves first
    std::vector<double> nominal_;  // by part: nominal flow of its heads and of those beyond, m3/s
    std::vector<char> joined_;     // by element: owning regulators that were wanting
};

}  // namespace

SolveReport solve_state(const Network& network, State& state, bool record_steps) {
    LinkSolver solver(network, state, record_steps);
    Parts parts = divide(network, state);
    if (parts.regulators.empty()) {
        Links links;
        for (std::size_t e = 0; e < network.elements.size(); ++e)
            solver.add_element(static_cast<int>(e), links);
        solver.solve(std::move(links));
    } else {
        Regulators(solver, std::move(parts)).run();
    }
    return std::move(solver.report());
}

}  // namespace evenhead::solver
