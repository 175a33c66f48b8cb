// Regulating valves: which of them are open, hold their set pressure or are shut.
//
// Take the regulators away and the network falls into parts. Let regulator r be the only way into part V, and
// the same be true of every regulator that leads on from V: V is owned. Held at its set height, V and what
// lies beyond draw a flow c_r that depends on nothing upstream. With less height V draws less, since every
// law rises. So r and V together are one rising curve: seen from upstream, r is its own loss law with a most
// flow c_r.
//
// All hold at first: every part is solved with its outlets fixed at their set heights and its inlets drawing,
// against their set heights, what the outlets feed, all at once. An owning regulator whose inlet has not the
// height to draw that much is wanting: it cannot hold, and opens. While it drew against its set height it
// took less than open (its outlet would sink), and beyond it the same is true; so draws are never
// overestimated, nor heights upstream underestimated: a regulator found wanting stays wanting when others
// open as well. Opening is for good, and where all parts are owned the passes end after at most one for each
// regulator.
//
// Regulators that share a part, or lead back upstream, have no order in which they could be settled. First
// all that break the condition of their state change it, owning ones too, until all keep it; passes that only
// show where to go next end early, until that comes back to states it has seen. Where it does so again, each
// set of states of the shared ones has the owning ones settled from the start, as above, and the shared ones
// change one at a time. Where there are few, every set is tried as well: if two sets keep every condition and
// differ in their flows, there is more than one balance, and none is printed.
#include <set>
#include <utility>

#include "model/position.hpp"
#include "solver/balance/link_solver.hpp"
#include "solver/balance/parts.hpp"
#include "solver/balance/regulator_states.hpp"

namespace evenhead::solver {
namespace {

constexpr std::size_t most_tried = 5;  // shared regulators whose 3^n sets of states are all tried
constexpr int most_passes = 60;

class Regulators {
  public:
    Regulators(LinkSolver& solver, const Parts& parts)
        : solver_(solver),
          states_(solver, parts),
          shared_(states_.shared()),
          shares_(!parts.shared.empty()) {}

    void run() {
        States states = states_.all_holding();
        bool settled = settle(states);
        if (!settled) {
            solver_.report().failure.reset();
            states = states_.all_holding();
            settled = settle_shared(states);
        }
        if (!shares_) return;  // one balance, or an iteration that did not end: reported
        if (settled) {
            check_others(states);
        } else {
            find_any();
        }
    }

  private:
    // All that break their condition change, until all keep it.
    bool settle(States& states) {
        std::set<States> visited;
        Precision glance = Precision::hasty, precision = glance;
        for (int pass = 0; pass < most_passes; ++pass) {
            const bool solved = states_.solve(states, precision, pass > 0);
            if (!solved && precision == Precision::full) return false;
            const std::vector<StateChange> broken = states_.broken(states, precision);
            if (broken.empty()) {
                if (precision == Precision::full) return true;
                precision = Precision::full;
                continue;
            }
            visited.insert(states);
            for (const StateChange& change : broken) states[change.regulator] = change.to;
            if (visited.contains(states)) {
                if (glance == Precision::coarse) return false;
                glance = Precision::coarse;  // haste may have led astray
                visited.clear();
            }
            precision = glance;
        }
        return false;
    }

    // Owning regulators from all holding, those wanting open, until none is; with the states of the shared
    // ones.
    bool settle_owning(States& states, Precision precision) {
        for (std::size_t r = 0; r < states.size(); ++r) {
            if (!shared_[r]) states[r] = RegulatorState::holding;
        }
        for (;;) {
            if (!states_.solve(states, precision, true)) return false;
            bool opens = false;
            for (const StateChange& change : states_.broken(states, precision)) {
                if (shared_[change.regulator] || change.to != RegulatorState::open) continue;
                states[change.regulator] = change.to;
                opens = true;
            }
            if (!opens) return true;
        }
    }

    // One shared regulator after the other changes, until all keep their conditions.
    bool settle_shared(States& states) {
        std::set<States> visited;
        Precision glance = Precision::coarse, precision = glance;
        for (int pass = 0; pass < most_passes; ++pass) {
            const bool solved = settle_owning(states, precision);
            if (!solved && precision == Precision::full) return false;
            const std::vector<StateChange> broken = states_.broken(states, precision);
            if (solved && broken.empty()) {
                if (precision == Precision::full) return true;
                precision = Precision::full;
                continue;
            }
            if (!solved || !visited.insert(states).second) {
                if (glance == Precision::full) return false;
                glance = precision = Precision::full;
                visited.clear();
                continue;
            }
            states[broken.front().regulator] = broken.front().to;
            precision = glance;
        }
        return false;
    }

    // Calls `found` with each set of states of the shared regulators that keeps every condition, until it
    // returns false.
    template <class Found>
    void try_all(Found found) {
        std::vector<std::size_t> shared;
        for (std::size_t r = 0; r < shared_.size(); ++r) {
            if (shared_[r]) shared.push_back(r);
        }
        if (shared.size() > most_tried) return;
        std::size_t sets = 1;
        for (std::size_t i = 0; i < shared.size(); ++i) sets *= 3;
        for (std::size_t set = 0; set < sets; ++set) {
            States states = states_.all_holding();
            std::size_t rest = set;
            for (const std::size_t r : shared) {
                states[r] = static_cast<RegulatorState>(rest % 3);
                rest /= 3;
            }
            if (!settle_owning(states, Precision::full) || !states_.broken(states, Precision::full).empty())
                continue;
            if (!found(states)) return;
        }
    }

    // Is there another balance? What it takes to know is not counted among the steps of the run.
    void check_others(const States& found) {
        const State answer = solver_.state();
        const SolveReport report = solver_.report();
        solver_.record_steps(false);
        bool others = false;
        try_all([&](const States& states) {
            others = states != found && states_.differ(answer, solver_.state());
            return !others;
        });
        solver_.state() = answer;
        solver_.report() = report;
        if (others)
            states_.report("several-states", "More than one set of their states satisfies all of them.");
    }

    // No way led to a balance: the first set of states that is one, and whether there is a second.
    void find_any() {
        bool any = false, others = false;
        State answer = solver_.state();
        try_all([&](const States&) {
            if (any) {
                others = states_.differ(answer, solver_.state());
            } else {
                answer = solver_.state();
                any = true;
            }
            return !others;
        });
        solver_.state() = answer;
        if (any) solver_.report().failure.reset();
        if (others)
            states_.report("several-states", "More than one set of their states satisfies all of them.");
        if (!any && !solver_.report().failure)
            states_.report("contradiction", "No set of their states satisfies all of them.");
    }

    LinkSolver& solver_;
    RegulatorStates states_;
    const std::vector<char>& shared_;  // by regulator
    bool shares_;                      // any is
};

}  // namespace

SolveReport solve_state(const Network& network, State& state, bool record_steps) {
    LinkSolver solver(network, state, record_steps);
    const Parts parts = divide(network, state);
    if (parts.regulators.empty()) {
        Links links;
        for (std::size_t e = 0; e < network.elements.size(); ++e)
            solver.add_element(static_cast<int>(e), links);
        solver.solve(std::move(links), Precision::full);
    } else {
        Regulators(solver, parts).run();
    }
    return std::move(solver.report());
}

}  // namespace evenhead::solver
