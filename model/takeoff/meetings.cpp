// Where ends of pipes meet, and in what directions they leave.
#include <algorithm>
#include <cmath>

#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model::takeoff {
namespace {

/// The direction from the first point to the next that is not the same; nothing where all are.
template <class Iterator>
std::optional<Vector> direction(Iterator first, Iterator last) {
    const Vector start = *first;
    for (++first; first != last; ++first) {
        const double x = (*first)[0] - start[0], y = (*first)[1] - start[1], length = std::hypot(x, y);
        if (length > 0) return Vector{x / length, y / length};
    }
    return std::nullopt;
}

/// What leaves a point: needs its place, and that of the first bend or else of the other end.
std::optional<Vector> away_from(const Subject& subject, Index index, bool at_to) {
    const Pipe& pipe = subject.pipe(index);
    const Index here = at_to ? pipe.to : pipe.from, there = at_to ? pipe.from : pipe.to;
    const auto place = subject.place(here);
    if (!place) return std::nullopt;
    std::vector<Vector> way{*place};
    if (pipe.bends) {
        way.insert(way.end(), pipe.bends->begin(), pipe.bends->end());
        if (at_to) std::reverse(way.begin() + 1, way.end());
    }
    if (const auto other = subject.place(there)) way.push_back(*other);
    return direction(way.begin(), way.end());
}

}  // namespace

double turn(const Vector& one, const Vector& other) {
    constexpr double degrees = 180 / 3.14159265358979323846;
    // Straight on, the second leaves against the first.
    const double along = -(one[0] * other[0] + one[1] * other[1]);
    const double across = one[0] * other[1] - one[1] * other[0];
    return std::abs(std::atan2(across, along)) * degrees;
}

std::vector<Meeting> find_meetings(const Subject& subject) {
    const System& system = subject.system;
    const std::size_t points = system.points.size();
    const ListsOf<End> ends(2 * points, [&](const auto& put) {
        for (std::size_t i = 0; i < system.pipes.size(); ++i)
            for (const bool at_to : {false, true}) {
                const Pipe& pipe = system.pipes[i];
                const bool outlet = subject.layout.end_on_outlet[i][at_to ? 1 : 0];
                End end;
                end.pipe = static_cast<Index>(i);
                end.at_to = at_to;
                put(2 * (at_to ? pipe.to : pipe.from) + (outlet ? 1 : 0), end);
            }
    });
    std::vector<Meeting> meetings;
    for (std::size_t node = 0; node < 2 * points; ++node) {
        if (ends[node].empty()) continue;
        Meeting meeting;
        meeting.point = static_cast<Index>(node / 2);
        meeting.outlet = node % 2 == 1;
        meeting.ends.assign(ends[node].begin(), ends[node].end());
        for (End& end : meeting.ends) end.away = away_from(subject, end.pipe, end.at_to);
        meetings.push_back(std::move(meeting));
    }
    return meetings;
}

bool goes_through(const Subject& subject, const Meeting& meeting) {
    if (subject.point(meeting.point).kind != PointKind::plain || meeting.ends.size() != 2) return false;
    const End &one = meeting.ends[0], &other = meeting.ends[1];
    const PipeFacts &left = subject.facts_of(one.pipe), &right = subject.facts_of(other.pipe);
    if (left.kind != right.kind || left.size.nominal != right.size.nominal) return false;
    if (left.size.nominal.empty() && left.size.diameter != right.size.diameter &&
        !(std::isnan(left.size.diameter) && std::isnan(right.size.diameter)))
        return false;
    if (!one.away || !other.away) return true;
    return turn(*one.away, *other.away) < left.rule->elbows_from;
}

}  // namespace evenhead::model::takeoff
