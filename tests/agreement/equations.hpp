// A run as a square system of equations for a general-purpose solver.
//
// Unknowns: a height (m) for each node that water reaches and a flow (m3/s) for each open element between
// such nodes. Equations: at each node inflow = outflow; for each element its law.
//
// A general-purpose Newton method needs smooth equations, so each element that has states is fixed in the
// state of the answer that is put to the test, and what the state demands is checked of the other solver's
// answer as inequalities:
//
//     element                      state       equation                 inequality
//     one-way, sprung              running     D = d(q)                 q >= 0
//                                  at rest     q = 0                    D <= d(0) (both signs, if two-way)
//     regulator                    open        D = d(q)                 q >= 0, outlet <= set
//                                  holding     outlet = set             q >= 0, inlet - d(q) >= set
//                                  shut        q = 0                    outlet >= min(inlet - d(0), set)
//     head                         running     p = P(q)                 q >= 0, p <= set
//                                  dry         q = 0                    p <= 0
//                                  full        q = Q (at set, constant  p >= set, p >= 0, p on the level rows
//                                              draw, level rows)
//       of constant draw           short       p = 0                    0 <= q <= Q
//
// P(q) inverts the nozzle's law; p = D - m q^2 behind a swing joint. Every loss gets `leak` q on top (1e-11 m
// at the flow of all heads together), without which flows in still rings and on level stretches would be
// undetermined.
#pragma once

#include <string>
#include <vector>

#include "tests/agreement/bare.hpp"

namespace evenhead::agreement {

/// A sparse matrix in compressed columns, its pattern fixed.
struct Columns {
    std::vector<long> start, row;
    std::vector<double> value;
};

class Equations {
  public:
    /// States from `answer`.
    Equations(const Bare& bare, const Answer& answer);

    std::size_t size() const { return nodes_.size() + elements_.size(); }
    double height_scale() const { return height_scale_; }  ///< m
    double flow_scale() const { return flow_scale_; }      ///< m3/s: all heads at design pressure
    /// By unknown and by equation: what one is compared with.
    std::vector<double> unknown_scale() const;
    std::vector<double> equation_scale() const;

    void residual(const double* x, double* f) const;
    const Columns& pattern() const { return columns_; }
    void jacobian(const double* x, std::vector<double>& values) const;

    /// Where the balance itself starts: every head's flow at its design pressure, carried along a tree from
    /// the supplies; all other elements at rest; water standing as high as the highest supply.
    std::vector<double> cold_start() const;
    std::vector<double> from_answer(const Answer& answer) const;
    /// By head of the case: gauge pressure (m) at its nozzle; NaN where no water reaches it.
    std::vector<double> nozzle_pressures(const std::vector<double>& x) const;
    /// Inequalities that x breaks, in words.
    std::string broken_states(const std::vector<double>& x) const;

  private:
    enum class State { running, backward, resting, holding, full, limited };
    struct Law {
        const Element* element;
        State state;
        double full = 0, least = 0, most = 0;  // `full`: flow, and the pressures at which it is passed
    };
    struct Point {
        double inlet, outlet, flow;
    };
    // Value and derivatives of an element's equation.
    struct Row {
        double value, by_inlet, by_outlet, by_flow;
    };

    Law head_law(const Element& element, double flow, double height) const;
    Law loss_law(const Element& element, double flow, double inlet, double outlet) const;
    void tie_floating_parts(const Answer& answer);
    Row row(const Law& law, const Point& at) const;
    Row head_row(const Law& law, const Point& at) const;
    Point point(std::size_t element, const double* x) const;
    std::string broken_state(const Law& law, const Point& at) const;
    std::size_t unknown(int node) const { return unknown_of_node_[static_cast<std::size_t>(node)]; }

    const Bare& bare_;
    std::vector<int> nodes_;  // by unknown height
    std::vector<std::size_t> unknown_of_node_;
    std::vector<Law> elements_;  // by unknown flow
    double height_scale_ = 1, flow_scale_ = 1, leak_ = 0, highest_ = 0;
    Columns columns_;
};

}  // namespace evenhead::agreement
