#include "solver/timetable/timeline_parts.hpp"

#include <algorithm>
#include <tuple>

namespace evenhead::solver {

Timeline::Timeline(const NightZones& night) : night_(night), states_(night), zones_(night.zones.size()) {
    for (const ZoneTime& zone : night.zones)
        soaks_.push_back(zone.longest_cycle > 0 && zone.minutes > zone.longest_cycle ? 1 : 0);
}

bool Timeline::fill(const std::vector<Request>& requests) {
    segments_.assign(1, {0, SetStates::none_open});
    for (std::vector<RunPiece>& pieces : zones_) pieces.clear();
    end_ = 0;
    return std::all_of(requests.begin(), requests.end(),
                       [&](const Request& request) { return put(request); });
}

std::size_t Timeline::split(int minute, std::size_t from) {
    while (from + 1 < segments_.size() && segments_[from + 1].start <= minute) ++from;
    if (segments_[from].start == minute) return from;
    segments_.insert(segments_.begin() + static_cast<std::ptrdiff_t>(from) + 1,
                     {minute, segments_[from].state});
    return from + 1;
}

bool Timeline::put(const Request& request) {
    const int zone = request.zone, length = request.length;
    const ZoneTime& time = night_.zones[at(zone)];
    std::vector<RunPiece>& own = zones_[at(zone)];
    std::size_t next_own = 0, segment = 0;
    for (int start = 0;;) {
        for (; next_own < own.size(); ++next_own) {
            const RunPiece& other = own[next_own];
            if (start + length + (soaks(zone) ? time.soak(length) : 0) <= other.start) break;
            start = std::max(start, other.start + other.length + (soaks(zone) ? time.soak(other.length) : 0));
        }
        while (segment + 1 < segments_.size() && segments_[segment + 1].start <= start) ++segment;
        std::size_t last = segment;
        bool fits = true;
        for (; last < segments_.size() && segments_[last].start < start + length && fits; ++last)
            fits = states_.with(segments_[last].state, zone) != SetStates::nowhere;
        if (!fits) {
            if (last == segments_.size()) return false;  // not even where nothing else runs
            start = segments_[last].start;
            continue;
        }
        const std::size_t first = split(start, segment), behind = split(start + length, first);
        for (std::size_t s = first; s < behind; ++s)
            segments_[s].state = states_.with(segments_[s].state, zone);
        own.insert(std::find_if(own.begin(), own.end(), [&](const RunPiece& p) { return p.start > start; }),
                   {zone, start, length});
        if (start + length > end_) {
            end_ = start + length;
            last_zone_ = zone;
        }
        return true;
    }
}

int Timeline::minutes_after(int minute) const {
    int minutes = 0;
    for (const std::vector<RunPiece>& own : zones_)
        for (const RunPiece& piece : own)
            minutes += std::clamp(piece.start + piece.length - minute, 0, piece.length);
    return minutes;
}

int Timeline::minutes_too_high() const {
    int minutes = 0;
    for (std::size_t s = 0; s + 1 < segments_.size(); ++s)
        if (!states_.allowed(segments_[s].state)) minutes += segments_[s + 1].start - segments_[s].start;
    return minutes;
}

int Timeline::pauses() const {
    int pauses = 0;
    for (std::size_t z = 0; z < zones_.size(); ++z) {
        int runs = 0, end = -1;
        for (const RunPiece& piece : zones_[z]) {
            if (piece.start != end) ++runs;
            end = piece.start + piece.length;
        }
        pauses += std::max(0, runs - night_.zones[z].cycles());
    }
    return pauses;
}

std::vector<RunPiece> Timeline::pieces() const {
    std::vector<RunPiece> all;
    for (const std::vector<RunPiece>& own : zones_) {
        for (std::size_t i = 0; i < own.size(); ++i) {
            if (i > 0 && all.back().start + all.back().length == own[i].start)
                all.back().length += own[i].length;
            else
                all.push_back(own[i]);
        }
    }
    std::sort(all.begin(), all.end(), [](const RunPiece& a, const RunPiece& b) {
        return std::tuple(a.start, a.zone) < std::tuple(b.start, b.zone);
    });
    return all;
}

}  // namespace evenhead::solver
