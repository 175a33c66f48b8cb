// Regulating valves: which of them hold their set pressure.
//
// Take the regulators away and the network falls into parts. Let regulator r be the only way into part V, and
// the same be true of every regulator that leads on from V: V is owned. Held at its set height, V and what
// lies beyond draw a flow c_r that depends on nothing upstream. With less height V draws less, since every
// law rises. So r and V together are one rising curve: seen from upstream, r is its own loss law with a most
// flow c_r. Hence the order of work, leaves first:
//   1. solve V with r's outlet fixed at its set height: c_r;
//   2. solve the part upstream with r drawing c_r against the set height. It may find that the height does
//   not suffice,
//      q < c_r: then r cannot hold, and V joins the part upstream as it is, r open.
// In step 2 a regulator that draws against its set height takes less than it would open (its outlet would
// sink), so heights upstream are never underestimated: a regulator found wanting stays wanting when others
// join as well. Joining is for good, and the passes end after at most one for each regulator.
#include <map>
#include <set>
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
          solved_(parts_.owned.size(), 0),
          draw_(network_.elements.size(), 0.0) {}

    void run() {
        for (const int r : parts_.regulators) {
            if (owns(r)) solve_owned(r);
        }
        std::vector<int> top;
        for (std::size_t part = 0; part < parts_.owned.size(); ++part) {
            if (!parts_.owned[part]) top.push_back(static_cast<int>(part));
        }
        const SolveTop solve_top = [&](const std::function<void(std::vector<Link>&)>& more, bool warm) {
            return solve_joining(top, more, warm);
        };
        if (parts_.shared.empty()) {
            solve_top([](std::vector<Link>&) {}, false);
        } else {
            solve_shared_regulators(solver_, parts_, solve_top);
        }
    }

  private:
    int below(int r) const { return parts_.below(network_, r); }
    bool owns(int r) const { return parts_.owned[at(below(r))]; }

    // Leaves first, without recursion: a regulator is solved once all that lead on from its part are.
    void solve_owned(int regulator) {
        std::vector<int> stack{regulator};
        while (!stack.empty()) {
            const int r = stack.back();
            const std::size_t waiting = stack.size();
            for (const int next : parts_.leading_on[at(below(r))]) {
                if (!solved_[at(below(next))]) stack.push_back(next);
            }
            if (stack.size() > waiting) continue;
            stack.pop_back();
            if (solved_[at(below(r))]) continue;
            solved_[at(below(r))] = 1;
            solve_joining({below(r)}, [&](std::vector<Link>& links) { solver_.add_outlet(r, links); });
            draw_[at(r)] = solver_.outlet_flow(r);
            held_[r] = note_held();
        }
    }

    // Solves parts with what `more` adds, joining owned parts whose regulators cannot hold, until none is
    // left wanting.
    bool solve_joining(std::vector<int> parts, const std::function<void(std::vector<Link>&)>& more,
                       bool warm = false) {
        std::set<int> joined;
        for (;; warm = true) {
            std::vector<Link> links;
            for (const int part : parts) {
                for (const int e : parts_.elements[at(part)]) solver_.add_element(e, links);
                for (const int r : parts_.leading_on[at(part)]) {
                    if (!owns(r)) continue;
                    if (joined.count(r))
                        solver_.add_open(r, links);
                    else
                        solver_.add_held(r, draw_[at(r)], links);
                }
            }
            more(links);
            if (!solver_.solve(std::move(links), warm)) return false;
            const std::size_t before = parts.size();
            for (std::size_t i = 0; i < before; ++i) {
                for (const int r : parts_.leading_on[at(parts[i])]) {
                    if (!owns(r) || joined.count(r) || holds(r)) continue;
                    joined.insert(r);
                    parts.push_back(below(r));
                }
            }
            if (parts.size() > before) continue;
            for (const int part : parts) {
                for (const int r : parts_.leading_on[at(part)]) {
                    if (owns(r) && !joined.count(r)) restore(r);
                }
            }
            return true;
        }
    }

    // The held regulator draws all that its part wants.
    bool holds(int r) const { return solver_.state().flow[at(r)] >= draw_[at(r)] * (1 - 1e-12) - 1e-18; }

    // What an owned part looks like while its regulator holds: a later solve may join it and write over it.
    struct Held {
        std::vector<std::pair<int, double>> heights, flows;  // by node, by element
        std::vector<int> leading_on;                         // regulators that lead on and hold
    };

    Held note_held() const {
        Held held;
        const State& state = solver_.state();
        for (const Link& link : solver_.links()) {
            if (link.element < 0) continue;
            held.flows.emplace_back(link.element, state.flow[at(link.element)]);
            for (const int node : {link.tail, link.head}) {
                if (node != fixed) held.heights.emplace_back(node, state.height[at(node)]);
            }
            if (network_.elements[at(link.element)].regulates() && link.head == fixed) {
                held.leading_on.push_back(link.element);
            }
        }
        return held;
    }

    void restore(int regulator) {
        std::vector<int> stack{regulator};
        while (!stack.empty()) {
            const Held& held = held_[stack.back()];
            stack.pop_back();
            for (const auto& [node, height] : held.heights) solver_.state().height[at(node)] = height;
            for (const auto& [element, flow] : held.flows) solver_.state().flow[at(element)] = flow;
            stack.insert(stack.end(), held.leading_on.begin(), held.leading_on.end());
        }
    }

    LinkSolver& solver_;
    const Network& network_;
    Parts parts_;
    std::vector<char> solved_;  // by part
    std::vector<double> draw_;  // by element: what an owning regulator passes while it holds, m3/s
    std::map<int, Held> held_;
};

}  // namespace

SolveReport solve_state(const Network& network, State& state, bool record_steps) {
    LinkSolver solver(network, state, record_steps);
    Parts parts = divide(network, state);
    if (parts.regulators.empty()) {
        std::vector<Link> links;
        for (std::size_t e = 0; e < network.elements.size(); ++e)
            solver.add_element(static_cast<int>(e), links);
        solver.solve(std::move(links));
    } else {
        Regulators(solver, std::move(parts)).run();
    }
    return std::move(solver.report());
}

}  // namespace evenhead::solver
