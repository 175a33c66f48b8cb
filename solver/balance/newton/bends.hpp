// Where a step cannot be taken whole, because it carries some chains past bends of their curves: these few
// are solved with their curves as they are, all others on their chords.
#pragma once

#include <vector>

#include "solver/balance/newton/elimination.hpp"
#include "solver/balance/newton/iterate.hpp"

namespace evenhead::solver {

/// One step's. Letters: see bends.cpp.
class Bends {
  public:
    /// `elimination` holds the factors that the step was solved with.
    Bends(Iterate& iterate, const Elimination& elimination) : it_(iterate), elimination_(elimination) {}

    /// Takes in those of `chains` whose curves the whole step misses most, and changes the step and the
    /// chords of all that were taken in. False where no other is in the way, or no more may be taken in.
    bool take_in(const std::vector<int>& chains);

    bool any() const { return !bends_.empty(); }
    /// The step went so far beyond what heights are that their last digits are lost: to be solved anew with
    /// the chords that were found.
    bool lost_digits() const { return lost_digits_; }

  private:
    struct Bend {
        int chain;
        double g;            // conductance of its chord in the factors, m2/s
        double D, q;         // after the step
        double extra = 0;    // e
        double written = 0;  // how much of it the step has
        double missed = 0;   // (q(D) - q) dD, the curve's flow beyond the step's
    };

    std::vector<Bend> in_the_way(const std::vector<int>& chains) const;
    void find_effects();
    void solve();
    double solve_one(std::size_t c);
    void change_step();

    Iterate& it_;
    const Elimination& elimination_;
    std::vector<Bend> bends_;
    std::vector<std::vector<double>> effect_;  // by bend: of a unit of flow along it on the heights, s/m2
    std::vector<std::vector<double>> R_;       // by bend, by bend
    bool lost_digits_ = false;
};

}  // namespace evenhead::solver
