// Lines that pass the 180th meridian, which GeoJSON cuts there (RFC 7946, 3.1.9).
#pragma once

#include <array>
#include <vector>

namespace evenhead::io {

using Degrees = std::array<double, 2>;  ///< longitude and latitude

/// The parts of a line of two places or more: one, or where it passes the meridian more, each of which ends
/// or begins on it.
std::vector<std::vector<Degrees>> cut_at_meridian(const std::vector<Degrees>& way);

/// True where `next` goes on from `part` on the other side of the meridian.
bool goes_on_past_meridian(const std::vector<Degrees>& part, const std::vector<Degrees>& next);

/// Puts `next` behind `way`, without the places on the meridian where both have been cut; one where the line
/// also bends stays.
void join_at_meridian(std::vector<Degrees>& way, const std::vector<Degrees>& next);

}  // namespace evenhead::io
