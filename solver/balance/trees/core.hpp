// The core in one Newton step: chains eliminated one by one, junctions by their order.
//
// A run taps the core where its trees hang, each tap drawing A H + B at its height H. Between neighbouring
// taps and junctions lie segments, each one law of one flow: sums of the laws of their elements. On the
// tangent, a segment from i to j carries  q = g (H_i - H_j) + c,  g = 1/s, c = e/s.
//
// A chain from junction L to R, segment by segment. Let the first taps be eliminated, so that into the next
// point n flows  G (H_L - H_n) - p H_n + k,  and out of L  G (H_L - H_n) + a H_L + f. At a tap n with the
// segment (g, c) beyond it and A' = A + p:
//     H_n = (G H_L + g H_r + b) / d,   b = k - c - B,   d = G + g + A',
// and, put into both flows,
//     G' = G g / d,  p' = g A' / d,  k' = c + g b / d,  a' = a + G A' / d,  f' = f - G b / d.
// Conductances only add and multiply. What is left are junctions joined by G, with draws p and a: see
// elimination.hpp.
#pragma once

#include <cmath>
#include <vector>

#include "model/position.hpp"
#include "solver/balance/newton/elimination.hpp"
#include "solver/balance/state.hpp"
#include "solver/balance/trees/core_blocks.hpp"
#include "solver/balance/trees/parameters.hpp"

namespace evenhead::solver {

/// Where trees hang on the core; by tap: core node, and the draw A H + B on the tangents of a step.
struct Taps {
    std::vector<int> core;
    std::vector<double> A, B;
    std::vector<double> height;  ///< m over the datum, after a step
    std::vector<double> draw;    ///< m3/s
    std::size_t count() const { return core.size(); }
};

class Core {
  public:
    Core(const Network& network, const Structure& structure, const Parameters& parameters);

    /// Takes the taps of a run. `total` (m3/s): all that is drawn; `level`: least slope, s/m2.
    void tap(const Taps& taps, double total, double level);
    /// First flows: constant draws along chords of all segments to the same flow. Writes the taps' heights.
    void start(Taps& taps);
    /// Tangents at the flows of the last step; the largest mismatch, m.
    double linearise();
    /// Calls note(mismatch in m, an element) for every segment.
    template <class Note>
    void note_mismatch(Note note) const {
        for (std::size_t s = 0; s < segments_.size(); ++s)
            note(std::abs(slope_[s] * flow_[s] - e_[s] - drop_[s]),
                 structure_.step_element[at(segments_[s].first)]);
    }
    /// One step: heights of junctions and taps, flows of segments.
    void step(Taps& taps);
    /// Makes the flows balance with the taps' draws: what rounding left runs along a tree of the flattest
    /// chains.
    void close(const Taps& taps);
    /// Heights and flows of what the supplies reach. False where a one-way element would pass water
    /// backwards.
    bool write(State& state) const;
    std::size_t sources() const { return supply_flow_.size(); }
    bool needs_solving() const { return !chain_ends_.empty() || supply_flow_.size() > 1; }

  private:
    struct Segment {
        int first, last;  // steps
        int tap;          // at its end; -1: the chain's end
        int other_first, other_last;
    };
    PowerLaw power_of(const Segment& segment) const;
    double loss_of_others(const Segment& segment, double q, double& slope) const;
    double other_loss(std::size_t step, double q) const;

    const Network& net_;
    const Structure& structure_;
    const Parameters& set_;
    const std::vector<std::pair<int, int>>& chain_ends_;
    Elimination elimination_;
    CoreBlocks blocks_;
    double total_ = 0, level_ = 0;

    std::vector<int> tap_at_;        // by core node: tap, or -1
    std::vector<char> carries_;      // by chain
    std::vector<int> order_;         // taps inside chains, by their steps
    std::vector<int> junction_tap_;  // taps at junctions
    std::vector<Segment> segments_;
    std::vector<int> first_segment_;                               // by chain; one more at the end
    std::vector<double> r_, m_, flow_, drop_, slope_, e_, floor_;  // by segment, padded
    std::vector<double> supply_flow_, supply_slope_, supply_e_;
    std::vector<double> conductance_, to_fixed_, b_, junction_height_;
    std::vector<double> G_, over_d_, beta_, g_;  // by segment: of the elimination of the tap at its end
};

}  // namespace evenhead::solver
