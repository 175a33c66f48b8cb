// A night as it fills: pieces of run time are put one after the other where they fit earliest.
#pragma once

#include <vector>

#include "solver/timetable/set_states_parts.hpp"

namespace evenhead::solver {

/// So many minutes of a zone without a pause, still to be put somewhere.
struct Request {
    int zone = 0, length = 0;
    bool operator==(const Request&) const = default;
};

class Timeline {
  public:
    explicit Timeline(const NightZones& night);

    /// Empties it and puts every piece, in this order, at the earliest minute at which all that runs then may
    /// run with it and its zone's other pieces have their soaks. False where a piece fits nowhere.
    bool fill(const std::vector<Request>& requests);

    int end() const { return end_; }
    /// The zone that ends last.
    int last_zone() const { return last_zone_; }
    /// Minutes of all zones together after a minute.
    int minutes_after(int minute) const;
    /// Minutes in which what is open may only be open with more.
    int minutes_too_high() const;
    /// Pauses of zones beyond those that their soaks ask for.
    int pauses() const;
    /// Pieces by start, then zone; those of a zone that touch are one.
    std::vector<RunPiece> pieces() const;

  private:
    struct Segment {
        int start, state;
    };
    bool put(const Request& request);
    std::size_t split(int minute, std::size_t from);
    /// Whether pieces of the zone need soaks between them: not where all of its run is one cycle.
    bool soaks(int zone) const { return soaks_[at(zone)] != 0; }

    const NightZones& night_;
    SetStates states_;
    std::vector<char> soaks_;
    std::vector<Segment> segments_;             // the last one goes on, with nothing open
    std::vector<std::vector<RunPiece>> zones_;  // by zone, by start
    int end_ = 0, last_zone_ = 0;
};

}  // namespace evenhead::solver
