// Newton-Raphson on trees and core together, for systems as they are mostly built.
//
// Every element is replaced by the tangent of its law at its flow (Todini & Pilati 1988). In a tree the link
// from parent p to node n, of slope s and e = s q - d(q), carries  q' = A H_n + B  into the node, the sum of
// what its children and its head draw; with H_n = H_p + e - s q',
//     q' = A' H_p + B',   w = 1 / (1 + A s),   A' = A w,   B' = (A e + B) w.
// From the leaves up every subtree becomes such a draw; the core is solved with the trees' (core.hpp); then
// heights and flows follow from the roots down. Nothing is factorised but the core, and everything streams
// through memory. A valve or device that holds its outlet at the height S draws A S + B whatever H_p is.
//
// It begins at the heads' nominal flows, summed down the trees, and ends where no law is missed by more than
// the closure wants. Where it does not come there soon, or meets what a tangent cannot see (a head that does
// not run, a one-way element that shuts), the general iteration takes over: see newton.hpp.
#pragma once

#include <vector>

#include "solver/balance/trees/core.hpp"
#include "solver/balance/trees/kernels.hpp"
#include "solver/balance/trees/selection.hpp"
#include "solver/balance/trees/tree_state.hpp"

namespace evenhead::solver {

class TreeSolver {
  public:
    TreeSolver(const Network& network, const Structure& structure, const Parameters& parameters);

    /// Balances the run with these valves open into state(); false where it cannot.
    bool solve(const std::vector<Index>& open_valves, std::vector<Step>* steps = nullptr);

    const State& state() const { return state_.state; }
    /// Linear solves of the last run, whether it came to an end or not.
    int solves() const { return solves_; }

  private:
    struct OtherLink {  // no power law
        std::size_t link;
        const Element* element;
        bool uphill, holding;
    };
    struct OtherHead {  // regulated, or a constant draw
        std::size_t link;
        const HeadLaw* law;
        double z, D, flow, A, B;  // as in HeadArrays
    };

    void note_step(double mismatch);
    void gather();
    void make_room_for_heads(const std::vector<int>& places);
    void add_head(std::size_t link, std::size_t place);
    void solve_core(double of_trees);
    bool iterate();
    double linearise_trees();
    double linearise_others();
    void sweep_up();
    void sweep_down();
    bool move_heads();
    void set_stretch(std::size_t stretch, double flow);
    HeadArrays orifices();
    HeadArrays stretches();
    bool settle_regulators();
    void sum_settled_heads();
    void sum_flows();
    void close();
    bool write();

    const Network& net_;
    const Structure& structure_;
    const Parameters& set_;
    Selection selection_;
    Core core_;
    TreeState state_;
    int solves_ = 0;
    std::vector<Step>* steps_ = nullptr;

    // By link: place in the selection, from the leaves.
    std::vector<int> up_;                                  // its parent's, or ~tap
    std::vector<double> r_, m_, flow_, drop_, slope_, e_;  // padded
    std::vector<double> A_, B_, height_;
    std::vector<int> head_, held_;  // position in heads; in others_, of a regulator
    std::vector<int> link_of_;      // by place
    // Heads: orifices, padded, then stretches of charts, padded.
    std::vector<double> head_z_, head_D_, head_flow_, head_A_, head_B_;
    std::vector<double> orifice_a_;
    struct Stretches {
        std::vector<double> n, c, m, low, high;
        std::vector<const HeadLaw*> law;
    } stretches_;
    std::size_t orifices_ = 0, first_stretch_ = 0;
    std::vector<OtherLink> others_;
    std::vector<OtherHead> other_heads_;
    Taps taps_;
    std::vector<int> tap_of_core_;
};

}  // namespace evenhead::solver
