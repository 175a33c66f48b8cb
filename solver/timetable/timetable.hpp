// Who waters when: run times from what the ground gets, cycles and soaks from what the soil takes, and the
// shortest night in which every moment is within limits, with a lower bound.
//
// Whole minutes, rounded up, since that is what controllers take. A run that ends at a minute and one that
// begins at it do not overlap: the end is exclusive. Minutes count from the midnight of the day on which the
// window opens.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "model/watering.hpp"
#include "solver/together/together.hpp"

namespace evenhead::solver {

/// By what a run is longer than the depth alone asks, since water lands unevenly.
enum class MultiplierRule {
    low_half,     ///< 1 / (0.4 + 0.6 DU_lq), which is about one over the uniformity of the lower half
    low_quarter,  ///< 1 / DU_lq
    none,         ///< 1
    given,        ///< a number
};

/// The multiplier of a rule; 1 where a rule wants a uniformity and there is none (NaN).
double run_time_multiplier(MultiplierRule rule, double du_lq, double given);

struct TimetableOptions {
    int threads = 0;
    long most = 200000;  ///< sets of valves to balance for each night
    MultiplierRule multiplier = MultiplierRule::low_half;
    double given_multiplier = 1;
    double grid = 0;       ///< m, of the coverage; 0: its own
    long evaluations = 0;  ///< timetables to try for each night; 0: by the number of its cycles
    unsigned seed = 1;
    std::function<void(const std::string&)> progress;
};

/// How long a row of `watering` runs in a night, and why.
struct ZoneTime {
    std::size_t row = 0;  ///< of WateringPlan::rows
    Index valve = model::none;
    enum class RateFrom { given, inside, formula } rate_from = RateFrom::inside;
    double rate = 0;        ///< m/s
    double du_lq = 0;       ///< NaN: not known
    bool du_given = false;  ///< by the row
    double multiplier = 1;
    model::Days days = 0;   ///< nights in which it waters
    double depth = 0;       ///< m a night
    double exact = 0;       ///< minutes a night
    int minutes = 0;        ///< the same, whole
    int longest_cycle = 0;  ///< minutes; 0: no limit
    double soak_share = 0;  ///< minutes of soak for each minute of a cycle; 0: none
    double alone = 0;       ///< m3/s of the zone when it waters alone

    int cycles() const { return longest_cycle > 0 ? (minutes + longest_cycle - 1) / longest_cycle : 1; }
    /// Minutes of soak that a cycle of so many minutes wants before the next.
    int soak(int cycle) const;
    /// From its first minute to its last, at the least: a full cycle last, whatever the others.
    int least_span() const;
};

struct TimetableRun {
    ValveSet valves;
    int start = 0, end = 0;           ///< minutes after midnight; end exclusive
    double flow = 0;                  ///< m3/s of all heads
    std::vector<double> supply_flow;  ///< m3/s, by supply
    std::vector<double> pump_flow;    ///< m3/s, by pump, in the order of devices
};

/// A valve open without a pause.
struct Opening {
    std::size_t zone = 0;  ///< of Timetable::zones
    int start = 0, end = 0;
};

/// No timetable of the night is shorter than `bound`, which is the largest of its parts.
struct NightBound {
    int bound = 0;  ///< minutes, whole

    /// Prices by zone, such that those of the valves of any allowed set sum to no more than 1: while one
    /// minute passes, no more than 1 is paid, so that all takes at least sum of price x minutes. Below 0 only
    /// where `exact`: what holds where no zone runs longer than its minutes.
    std::vector<double> price;
    bool exact = true;
    double priced = 0;         ///< minutes: that sum over `most_together`
    double most_together = 1;  ///< what the prices of any set that may be allowed sum to at most
    bool every_set = true;     ///< all allowed sets were found; else `most_together` holds for what was not
    std::size_t longest = 0;   ///< the zone whose cycles and soaks take longest
    int longest_span = 0;      ///< minutes
    std::vector<std::size_t> apart;  ///< zones of which no two may be open together
    int apart_minutes = 0;           ///< the sum of their run times
};

struct Night {
    model::Days days = 0;            ///< on which the window opens for it
    std::vector<std::size_t> zones;  ///< of Timetable::zones
    std::vector<TimetableRun> runs;  ///< in order; nothing runs between them
    std::vector<Opening> openings;   ///< by start, then zone
    int start = 0, end = 0;          ///< minutes after midnight
    NightBound bound;
    /// That may be open at once, no more of the night's valves beside; where not every set was tried: those
    /// that the programme opens.
    std::vector<ValveSet> sets;
    std::size_t tried = 0;
    std::vector<Index> never;     ///< valves that cannot be watered: in no allowed set, or not
                                  ///< long enough; then there are no runs
    std::vector<int> longer;      ///< by zone of the night: minutes more than it wants, as company for
                                  ///< zones that may not be open without
    std::vector<double> applied;  ///< by zone of the night: what it gets, as a share of what it wants

    int length() const { return end - start; }
    double gap() const { return bound.bound > 0 ? static_cast<double>(length()) / bound.bound - 1 : 0; }
};

struct Timetable {
    std::vector<ZoneTime> zones;  ///< in the order of watering
    std::vector<Night> nights;    ///< in the order of their first day
    std::size_t longest = 0;      ///< of nights
    std::vector<model::Assumption> assumptions;
    std::vector<model::Issue> warnings;
    MultiplierRule multiplier = MultiplierRule::low_half;

    bool possible() const;  ///< every zone is in some allowed set
    int beyond(
        const model::Window& window) const;  ///< minutes that the longest night takes too many; 0: fits
};

/// What cannot be made a timetable of, with place and mend; empty: nothing.
std::vector<model::Issue> timetable_issues(const model::System& system, const model::WateringPlan& plan);

/// Either a timetable, or issues.
struct TimetableOrIssues {
    Timetable timetable;
    std::vector<model::Issue> issues;
};
TimetableOrIssues make_timetable(const model::System& system, const model::Layout& layout,
                                 const model::WateringPlan& plan, const TimetableOptions& options);

}  // namespace evenhead::solver
