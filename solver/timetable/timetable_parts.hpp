// What the files of the timetable share.
#pragma once

#include <functional>
#include <vector>

#include "solver/network/network.hpp"
#include "solver/timetable/timetable.hpp"

namespace evenhead::solver {

/// Rates, multipliers and flows of every zone, each alone; whoever has no rate goes to `issues`.
void find_rates(const model::System& system, const model::Layout& layout, const model::WateringPlan& plan,
                const TimetableOptions& options, Timetable& made, std::vector<model::Issue>& issues);

/// In which nights each zone waters.
void choose_days(const model::WateringPlan& plan, Timetable& made);

/// Minutes of a night and cycles, once the days are known; whose soil takes no whole minute goes to `issues`.
void find_minutes(const model::System& system, const model::WateringPlan& plan, Timetable& made,
                  std::vector<model::Issue>& issues);

enum class SetKind : char { blocked, too_high, allowed };

/// A night's zones as the packing sees them, by position in the night.
struct NightZones {
    std::vector<ZoneTime> zones;
    std::vector<ValveSet> allowed;   ///< sets of positions, rising in size
    std::vector<ValveSet> too_high;  ///< sets that may only grow on, see Together
    std::vector<ValveSet> perhaps;   ///< pairs that may be open at once, if only with more valves
    /// Of a set in neither list: empty where such a set is blocked, else asked (from any thread).
    std::function<SetKind(const ValveSet&)> ask;
    int most_asked = 3000;  ///< by each of who asks, so that threads do not matter; then they are blocked
};

/// Minutes of sets that together give every zone its run time in the least time, and the prices.
struct FractionalNight {
    bool exact = true;            ///< no zone gets more than its minutes
    bool served = false;          ///< every zone gets them; else there is no such night, and no bound
    std::vector<ValveSet> sets;   ///< of positions: those that were looked at
    std::vector<double> minutes;  ///< by set
    std::vector<double> price;    ///< by zone
};
/// `exact`: zones get their minutes and no more; else at least. `for_each`: what a minute of a zone costs
/// beside the minute of its set; above 0 zones get hardly more minutes than they want, and the prices mean
/// nothing. `first`: allowed sets to begin with; none: those that no other holds.
FractionalNight fractional_night(const NightZones& night, bool exact, double for_each = 0,
                                 const std::vector<ValveSet>& first = {});

/// The parts of the bound that need no linear programme.
void bound_by_zones(const NightZones& night, NightBound& bound);

struct RunPiece {
    int zone = 0, start = 0, length = 0;
};

struct PackedNight {
    std::vector<RunPiece> pieces;  ///< by start, then zone; a zone's pieces that touch are one
    int too_high = 0;  ///< minutes of moments that would be within limits only with more valves open
};

/// The shortest that was found, from minute 0; no pieces where some zone can be put nowhere.
PackedNight pack_night(const NightZones& night, const FractionalNight& fractional, int bound,
                       const TimetableOptions& options);

}  // namespace evenhead::solver
