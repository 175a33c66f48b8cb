// What the runs say of each thing that the plan draws: in what state it is, not how it looks.
#pragma once

#include <limits>
#include <vector>

#include "model/graph.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::io {

using model::Index;

/// `off`: not of this run. `dry`: it should water, and no water reaches it. The others by the rule
/// head-pressure.
enum class HeadState : char { off, low, within, high, dry };

/// A head that should water: its state, and the numbers at its nozzle.
struct HeadMark {
    Index head = model::none;
    HeadState state = HeadState::within;
    double pressure = std::numeric_limits<double>::quiet_NaN();  ///< Pa
    double flow = 0;                                             ///< m3/s
    double radius = std::numeric_limits<double>::quiet_NaN();    ///< m; NaN: not known
    Index run = model::none;                                     ///< where it is so
};

/// One run, or all together.
struct RunMarks {
    Index run = model::none;      ///< none: all together
    bool solved = true;           ///< false: nothing below is known
    std::vector<HeadMark> heads;  ///< rising by head; those that are off are left out
    /// Something fails about them; rising, none twice.
    std::vector<Index> over_points, over_pipes, over_devices, over_valves, over_heads, over_supplies;
    std::vector<Index> open;              ///< valves that are open in it, rising
    Index critical_head = model::none;    ///< the head with the least margin
    Index critical_run = model::none;     ///< the run in which it has it
    double critical_margin = 0;           ///< Pa; NaN where nothing is wanted
    std::vector<solver::ElementRef> way;  ///< pipes, devices, valves from the supply to the critical head

    HeadState state(Index head) const;
    const HeadMark* mark(Index head) const;  ///< null: off
    /// True where something fails, of the run or of anything in it.
    bool outside = false;
};

/// The most that passed through a thing in any run: a way to say a number where no run is chosen.
struct Passed {
    double flow = 0;      ///< m3/s, no sign
    double velocity = 0;  ///< m/s; pipes only
    Index run = model::none;
};

/// Gathers them run by run, in the order of the case.
class PlanMarks {
  public:
    /// `every_way`: find the way to the critical head of every run, not only of the one with the least
    /// margin.
    PlanMarks(const model::System& system, const model::Layout& layout, bool every_way = true);

    void add(const solver::RunResult& result, const solver::RunFindings& findings);
    /// After the last run.
    void finish(const solver::CheckSummary& summary);

    const std::vector<RunMarks>& runs() const { return runs_; }
    /// The marks of a run by its position in the System; null where it was not added.
    const RunMarks* of_run(Index run) const;
    /// All runs together: each thing in its worst state, the way to the critical head of all.
    const RunMarks& worst() const { return worst_; }
    const solver::CheckSummary& summary() const { return summary_; }
    /// By position, of all runs that were added.
    const std::vector<Passed>& pipes() const { return pipes_; }
    const std::vector<Passed>& devices() const { return devices_; }
    const std::vector<Passed>& valves() const { return valves_; }

  private:
    const model::System& system_;
    const model::Layout& layout_;
    bool every_way_;
    double least_margin_ = std::numeric_limits<double>::infinity();  ///< Pa, of the runs so far
    std::vector<RunMarks> runs_;
    RunMarks worst_;
    solver::CheckSummary summary_;
    std::vector<HeadMark> worst_heads_;  ///< by head
    std::vector<Passed> pipes_, devices_, valves_;
};

}  // namespace evenhead::io
