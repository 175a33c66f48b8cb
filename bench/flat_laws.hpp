// The laws of a network's elements in flat arrays, for the baselines: what can be is a power law, evaluated
// without a call; the rest asks solver::Law. And the flows that an iteration starts from.
#pragma once

#include <vector>

#include "solver/network/network.hpp"

namespace evenhead::bench {

class FlatLaws {
  public:
    FlatLaws(const model::System& system, const solver::Network& network);

    std::size_t size() const { return r_.size(); }
    /// Of every element at its flow (m3/s): loss (m) and slope (s/m2, at least `least_slope`). Heads are odd
    /// in their flow here: on its way an iteration may see them draw backwards.
    void evaluate(const double* flow, double* loss, double* slope) const;

    /// An element at rest has no slope, which no iteration could divide by. Only the steps depend on it.
    static constexpr double least_slope = 1e-3;

    const std::vector<double>& r() const { return r_; }         ///< m/(m3/s)^1.852
    const std::vector<double>& m() const { return m_; }         ///< m/(m3/s)^2
    const std::vector<int>& others() const { return others_; }  ///< elements whose law asks solver::Law

  private:
    // q = Q (p/P)^x up to the flow `end`.
    struct Stretch {
        double P, Q, x, end;
    };
    struct Charted {
        int element;
        int first;  // of its nozzle's stretches
    };
    void add_nozzles(const model::System& system);
    void evaluate_charted(const double* flow, double* loss, double* slope) const;

    const solver::Network& network_;
    std::vector<double> r_, m_;
    std::vector<Stretch> stretches_;
    std::vector<int> first_stretch_;  // by nozzle; -1: a square law, or none that this can do
    std::vector<double> square_;      // by nozzle: m/(m3/s)^2; 0: not square
    std::vector<Charted> charted_;    // heads
    std::vector<int> others_;
};

/// Which elements take part: open, and with both ends reached from a supply through open elements.
struct Reach {
    std::vector<char> active;   ///< by element
    std::vector<char> reached;  ///< by node
    std::vector<int> order;     ///< nodes, as water comes to them
    std::vector<int> arrival;   ///< by node: the element by which it comes; -1: none
};
Reach find_reach(const solver::Network& network, const std::vector<char>& open);

/// Every active head's nominal flow summed down the tree by which water comes. The elements that close loops
/// rest: of 0 to 1e-2 m3/s in them, 0 takes the fewest steps.
std::vector<double> nominal_flows(const solver::Network& network, const Reach& reach);

/// Gauge pressure (psi) at each nozzle from heights (m) by node and flows (m3/s) by element; NaN where the
/// head is not active.
std::vector<double> nozzle_pressures(const solver::Network& network, const std::vector<char>& active,
                                     const std::vector<double>& height, const std::vector<double>& flow);

}  // namespace evenhead::bench
