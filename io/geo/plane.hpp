// The case's plane on the earth: x east and y north of an origin, against longitude and latitude (WGS 84).
#pragma once

#include <array>
#include <optional>

namespace evenhead::io {

/// The farthest, m, that a system lies from its origin: there plane and ground differ by half a metre in 50
/// km, at 1 km by less than a hundredth of a millimetre.
inline constexpr double farthest_from_origin = 50000;

/// The plane that touches the ellipsoid at the origin. A point of the ellipsoid lies straight above (or
/// beneath) its place in the plane.
class TangentPlane {
  public:
    /// Degrees: longitude east, latitude north.
    TangentPlane(double longitude, double latitude);

    /// {longitude, latitude} of {x, y} in m; empty beyond the edge of the earth.
    std::optional<std::array<double, 2>> to_degrees(const std::array<double, 2>& place) const;
    /// {x, y} in m of {longitude, latitude}; empty on the other side of the earth.
    std::optional<std::array<double, 2>> to_metres(const std::array<double, 2>& degrees) const;

  private:
    using Vector = std::array<double, 3>;
    Vector origin_{}, east_{}, north_{}, up_{};  ///< earth-centred; m, and unit vectors
};

}  // namespace evenhead::io
