// Balances designs, one after the other, as fast as it goes: networks are built once for each situation, and
// a change of size only sets the numbers of one pipe's law.
//
// Its judgement covers the limits that sizes mostly meet (pressure at heads, spread, velocity, full draws),
// so that a search can be led by how far they are missed. The last word on a design always has `passes`: the
// rules themselves, of every run of every situation.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "solver/balance/balance.hpp"
#include "solver/rules/rules.hpp"
#include "solver/sizing/problem.hpp"

namespace evenhead::solver {

/// A run in a situation.
struct RunPair {
    int situation = 0;
    Index run = model::none;
};

/// What all trials of a problem share, read by any number of threads.
class TrialBasis {
  public:
    explicit TrialBasis(const SizingProblem& problem);

    struct HeadLimits {
        double least, most;  ///< Pa at the nozzle; minus or plus infinite: none
        double design;       ///< Pa, as base of the spread; NaN: none, or the mean is its base
        bool constant_draw;
        double full_flow;  ///< m3/s, of a constant draw
    };
    struct SituationBasis {
        std::vector<Network> networks;  ///< by choice: every open pipe at that choice, or at its last
        RuleBasis rules;
        std::vector<HeadLimits> heads;
    };

    const SizingProblem& problem;
    std::vector<SituationBasis> situations;
    std::vector<RunPair> pairs;
    std::vector<std::vector<int>> pairs_of_open;  ///< by open pipe: the pairs in which its run concerns it
    std::vector<std::vector<double>> area;        ///< by open pipe and choice, m2
    std::vector<double> fixed_area;               ///< by pipe, m2; of open pipes that of their first choice
    /// Likewise, m/s; infinite: no limit. No condition changes it.
    std::vector<std::vector<double>> most_velocity;
    std::vector<double> fixed_most_velocity;

  private:
    void set_most_velocity(const RuleLimit& limit);
};

/// How far a pair is outside its limits: 0 within; each limit counts as a share of itself.
struct Judgement {
    double excess = 0;
    double worst = 0;  ///< the largest of them
    RuleId rule = RuleId::head_pressure;
    ElementRef subject;
    bool upper = false;
};

class Trial {
  public:
    Trial(const TrialBasis& basis, Design design);

    const Design& design() const { return design_; }
    void set(std::size_t open_pipe, int choice);
    void set(const Design& design);

    /// Balances a pair; false where no solution was found. state() then holds it.
    bool balance(int pair);
    const State& state() const { return balancer_->state(); }
    /// Balances and judges.
    Judgement judge(int pair);
    /// Judges every pair, stopping (with what there is by then) where the sum goes beyond `most`.
    double excess(double most = infinity);
    /// By every rule, in every situation.
    bool passes();

    long balances() const { return balances_; }

    /// Nozzle pressure of a head in the state last balanced, Pa.
    double head_pressure(std::size_t situation, Index head) const;
    const Network& network(int situation) const { return *of(situation).network; }

  private:
    struct Situation {
        std::unique_ptr<Network> network;
        std::unique_ptr<Prepared> prepared;
        std::unique_ptr<Balancer> balancer;
        std::vector<int> place_of, step_of;  // by open pipe: where its numbers stand; -1: nowhere
    };
    const Situation& of(int situation) const { return situations_[static_cast<std::size_t>(situation)]; }
    void write(Situation& to, std::size_t situation, std::size_t open_pipe);

    const TrialBasis& basis_;
    Design design_;
    std::vector<double> area_, most_velocity_;  // by pipe, m2 and m/s
    std::vector<Situation> situations_;
    const Balancer* balancer_ = nullptr;  // of the last balance
    long balances_ = 0;
};

/// No height in the network (m) is above it: the highest supply, with every pump at its shut-off.
double highest_height(const Network& net);

/// Height over the head (m) in the lateral below it that gives its nozzle the pressure p (m), unregulated.
double height_in_lateral(const HeadLaw& law, double p);

/// By every rule, in every situation.
bool passes_rules(const SizingProblem& problem, const Design& design);

}  // namespace evenhead::solver
