// Sets of a night's zones as numbered states: opening one more zone leads from one to another, or nowhere.
#pragma once

#include <algorithm>
#include <unordered_map>
#include <vector>

#include "model/position.hpp"
#include "solver/timetable/timetable_parts.hpp"

namespace evenhead::solver {

/// Grows while it is asked; one for each thread.
class SetStates {
  public:
    static constexpr int none_open = 0;
    static constexpr int nowhere = -1;

    explicit SetStates(const NightZones& night) : night_(night) {
        for (const ValveSet& set : night.allowed) known_.emplace(set, SetKind::allowed);
        for (const ValveSet& set : night.too_high) known_.emplace(set, SetKind::too_high);
        add({}, true);
    }

    /// The state with a zone more; nowhere: it may not be open as well.
    int with(int state, int zone) {
        const int next = next_[at(state)][at(zone)];
        return next == unasked ? find(state, zone) : next;
    }
    /// False where one more zone has to be open as well.
    bool allowed(int state) const { return allowed_[at(state)] != 0; }
    const ValveSet& zones(int state) const { return sets_[at(state)]; }

  private:
    static constexpr int unasked = -2;

    int add(ValveSet set, bool allowed) {
        const int state = static_cast<int>(sets_.size());
        places_.emplace(set, state);
        sets_.push_back(std::move(set));
        allowed_.push_back(allowed ? 1 : 0);
        next_.emplace_back(night_.zones.size(), unasked);
        return state;
    }
    int find(int state, int zone) {
        ValveSet set = sets_[at(state)];
        const auto place = std::lower_bound(set.begin(), set.end(), zone);
        int next = nowhere;
        if (place == set.end() || *place != zone) {
            set.insert(place, zone);
            if (const auto there = places_.find(set); there != places_.end()) {
                next = there->second;
            } else {
                const auto known = known_.find(set);
                const SetKind kind = known != known_.end() ? known->second : ask(set);
                if (kind != SetKind::blocked) next = add(std::move(set), kind == SetKind::allowed);
            }
        }
        return next_[at(state)][at(zone)] = next;
    }

    SetKind ask(const ValveSet& set) {
        if (!night_.ask || asked_ >= night_.most_asked) return SetKind::blocked;
        ++asked_;
        return night_.ask(set);
    }

    const NightZones& night_;
    int asked_ = 0;
    std::unordered_map<ValveSet, SetKind, ValveSetHash> known_;
    std::unordered_map<ValveSet, int, ValveSetHash> places_;
    std::vector<ValveSet> sets_;
    std::vector<char> allowed_;
    std::vector<std::vector<int>> next_;  // by state and zone
};

}  // namespace evenhead::solver
