// Where there are too many sets of valves to try them all: those that the prices of the night ask for, and
// what prices can sum to in any other.
#pragma once

#include <memory>
#include <unordered_map>
#include <vector>

#include "solver/runs/judge.hpp"
#include "solver/timetable/dearest_set_parts.hpp"
#include "solver/timetable/timetable_parts.hpp"

namespace evenhead::solver {

/// The same on any number of threads. `valves` by position in the night. All must outlive it.
class DearSets {
  public:
    DearSets(const JudgeBasis& basis, const std::vector<Index>& valves, std::size_t threads, long most,
             NightZones& night);

    /// Adds sets to `night.allowed` until the prices of none that is found sum to clearly more than 1, or
    /// `most` were balanced: grown by one zone after the other in orders that are drawn about the prices, and
    /// looked for one by one.
    void add();

    /// What the prices of any set within limits sum to at most.
    double most_together(const std::vector<double>& price);

    /// Allowed sets to begin other prices with.
    const std::vector<ValveSet>& mattered() const { return mattered_; }

  private:
    struct Grown {
        ValveSet set;
        std::vector<std::pair<ValveSet, Verdict>> fresh;
    };

    bool round(const std::vector<double>& price, unsigned number);
    std::vector<Index> order(const std::vector<double>& price, std::size_t number, unsigned seed) const;
    void grow(const std::vector<Index>& order, std::size_t worker, Grown& grown);
    Verdict judge(const ValveSet& positions, std::size_t worker);
    Verdict ask(const ValveSet& positions);
    Dearest dearest(const std::vector<double>& price, bool look);
    void keep(const FractionalNight& now);

    const JudgeBasis& basis_;
    const std::vector<Index>& valves_;
    NightZones& night_;
    Rooms rooms_;
    std::vector<std::unique_ptr<RunJudge>> judges_;  // by worker
    std::vector<Judged> judged_;
    std::unordered_map<ValveSet, Verdict, ValveSetHash> known_;
    std::vector<ValveSet> mattered_;
    long balanced_ = 0, most_;
};

}  // namespace evenhead::solver
