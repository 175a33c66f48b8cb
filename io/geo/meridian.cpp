// Between places at longitudes l1 and l2 on both sides, l2 counted on past +-180, the line passes the
// meridian m at the latitude p1 + (m - l1) / (l2 - l1) (p2 - p1): straight in degrees, as RFC 7946 has its
// lines.
#include "io/geo/meridian.hpp"

#include <cmath>

namespace evenhead::io {
namespace {

constexpr double same_place = 1e-8;  // degrees, a millimetre

/// Where the line from `from` to `to` passes the meridian on the side of `from`; NaN where both lie on it.
double latitude_at_meridian(const Degrees& from, const Degrees& to) {
    const double side = std::copysign(180.0, from[0]);
    const double past = std::abs(to[0] - from[0]) > 180 ? to[0] + 2 * side : to[0];
    return from[1] + (side - from[0]) / (past - from[0]) * (to[1] - from[1]);
}

bool on_meridian(const Degrees& place) {
    return std::abs(place[0]) >= 180 - 1e-12;
}

}  // namespace

std::vector<std::vector<Degrees>> cut_at_meridian(const std::vector<Degrees>& way) {
    std::vector<std::vector<Degrees>> parts(1, {way.front()});
    for (std::size_t i = 1; i < way.size(); ++i) {
        const Degrees &last = way[i - 1], &next = way[i];
        if (std::abs(next[0] - last[0]) > 180) {
            // What lies on the meridian lies on both its sides: there is nothing to cut between them.
            const double side = std::copysign(180.0, last[0]);
            const double latitude = on_meridian(last)   ? last[1]
                                    : on_meridian(next) ? next[1]
                                                        : latitude_at_meridian(last, next);
            if (!on_meridian(last)) parts.back().push_back({side, latitude});
            if (parts.back().size() < 2) parts.pop_back();
            parts.push_back({{-side, latitude}});
            if (on_meridian(next)) continue;
        }
        parts.back().push_back(next);
    }
    if (parts.back().size() < 2 && parts.size() > 1) parts.pop_back();
    return parts;
}

bool goes_on_past_meridian(const std::vector<Degrees>& part, const std::vector<Degrees>& next) {
    if (part.empty() || next.empty()) return false;
    const Degrees &end = part.back(), &begin = next.front();
    return on_meridian(end) && on_meridian(begin) && end[0] * begin[0] < 0 &&
           std::abs(end[1] - begin[1]) <= same_place;
}

void join_at_meridian(std::vector<Degrees>& way, const std::vector<Degrees>& next) {
    const Degrees cut = way.back();
    way.pop_back();
    const bool inside = !way.empty() && next.size() > 1;
    const bool straight =
        inside && std::abs(latitude_at_meridian(way.back(), next[1]) - cut[1]) <= same_place;
    if (!straight) way.push_back(cut);
    way.insert(way.end(), next.begin() + 1, next.end());
}

}  // namespace evenhead::io
