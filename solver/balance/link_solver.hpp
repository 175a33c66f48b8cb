// Solves a set of links and writes heights and flows where they belong.
#pragma once

#include <vector>

#include "model/position.hpp"
#include "solver/balance/balance.hpp"
#include "solver/balance/newton/newton.hpp"
#include "solver/balance/newton/reduction.hpp"

namespace evenhead::solver {

/// Makes links of elements, solves them together, and keeps count.
class LinkSolver {
  public:
    LinkSolver(const Network& network, State& state, bool record_steps);

    /// An active element as it is. Inactive ones are passed over.
    void add_element(int element, Links& links) const;
    /// A regulator as its own loss law, without regulation.
    void add_open(int regulator, Links& links) const;
    /// A regulator that holds: its outlet fixed at its set height, its inlet drawing what the outlet feeds,
    /// at first about `nominal` (m3/s). `loops`: what it draws may change what it feeds.
    void add_holding(int regulator, double nominal, bool loops, Links& links) const;

    /// Solves; false where the iteration did not end (then, at full precision, `report` has the failure).
    /// `warm`: starts from the state.
    bool solve(Links links, Precision precision, bool warm = false);

    /// What the outlet of a holding regulator fed in the last solve, m3/s.
    double fed(int regulator) const { return feeds_[at(regulator)].fed; }
    /// Its inlet drew as much: the height there sufficed.
    bool draws_all(int regulator, Precision precision) const;

    /// m3/s: nominal flow of all active heads, or of the last solve, if it was far more.
    double total_flow() const { return total_flow_; }
    SolveReport& report() { return report_; }
    const Network& network() const { return network_; }
    State& state() { return state_; }
    void record_steps(bool on) { record_steps_ = on; }

  private:
    void scale_to(double total_flow);
    void write_chain(std::size_t chain, double q);
    void note_steps();
    void note_failure();
    ElementRef chain_ref(int chain) const;
    bool start_from_state(NewtonStart& start) const;
    void stop_trickles();
    void note_feeds(const std::vector<Feed>& feeds);

    const Network& network_;
    State& state_;
    bool record_steps_;
    std::vector<int> scratch_;
    std::vector<NewtonFeed> feeds_;  // by element: of holding regulators
    double nominal_flow_;  // m3/s, of all active heads
    double total_flow_ = 0, level_slope_ = 0;
    PowerLaw lossless_{0, 0, false};
    Reduction reduction_;
    NewtonResult result_;
    SolveReport report_;
};

}  // namespace evenhead::solver
