// Solves a set of links and writes heights and flows where they belong.
#pragma once

#include <memory>
#include <vector>

#include "solver/balance/balance.hpp"
#include "solver/balance/newton.hpp"
#include "solver/balance/reduction.hpp"

namespace evenhead::solver {

/// Makes links of elements, solves them together, and keeps count.
class LinkSolver {
  public:
    LinkSolver(const Network& network, State& state, bool record_steps);

    /// An active element as it is. Inactive ones are passed over.
    void add_element(int element, std::vector<Link>& links) const;
    /// A regulator as its own loss law, without regulation.
    void add_open(int regulator, std::vector<Link>& links) const;
    /// A regulator that draws at most `draw` (m3/s) against its set height; nothing where `draw` is not above
    /// 0.
    void add_held(int regulator, double draw, std::vector<Link>& links) const;
    /// The outlet of a regulator fixed at its set height.
    void add_outlet(int regulator, std::vector<Link>& links) const;

    /// Solves; false where the iteration did not end (then `report` has the failure). `warm`: starts from the
    /// state.
    bool solve(std::vector<Link> links, bool warm = false);

    const std::vector<Link>& links() const { return reduction_.links; }
    /// What the fixed outlet of the regulator fed into the network in the last solve, m3/s.
    double outlet_flow(int regulator) const;

    double total_flow() const { return total_flow_; }  ///< m3/s, nominal flow of all active heads
    SolveReport& report() { return report_; }
    const Network& network() const { return network_; }
    State& state() { return state_; }
    void record_steps(bool on) { record_steps_ = on; }
    bool records_steps() const { return record_steps_; }

  private:
    void write_chain(std::size_t chain, double q);
    void note_steps();
    void note_failure();
    ElementRef chain_ref(int chain) const;
    bool start_from_state(NewtonStart& start) const;

    const Network& network_;
    State& state_;
    bool record_steps_;
    std::vector<int> scratch_;
    double total_flow_, level_slope_;
    PowerLaw lossless_{0, 0, false};
    Reduction reduction_;
    NewtonResult result_;
    std::vector<double> link_flow_;
    SolveReport report_;
};

}  // namespace evenhead::solver
