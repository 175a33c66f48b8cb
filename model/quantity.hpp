// A number of the case: SI, with how well it is known.
#pragma once

#include <cmath>
#include <limits>
#include <optional>

namespace evenhead::model {

/// What a number measures. SI unit of each in the comment; printed units belong to io.
enum class Dimension {
    none,         ///< a pure number (also: cv, kv, minor loss coefficient, C, exponent)
    pressure,     ///< Pa, gauge
    flow,         ///< m3/s
    length,       ///< m: lengths, elevations, coordinates, radii
    bore,         ///< m: bores, walls, outside diameters
    velocity,     ///< m/s
    rate,         ///< m/s of water depth
    area,         ///< m2
    temperature,  ///< degrees Celsius
    roughness,    ///< m
    modulus,      ///< Pa
    price,        ///< money per metre
    share,        ///< 1 = the whole (printed in percent)
    time,         ///< s
    angle,        ///< degrees, clockwise from north
};

/// One number with its standard deviation (same SI unit). `value` is NaN where the case says "?" (not known).
struct Quantity {
    double value = std::numeric_limits<double>::quiet_NaN();
    double deviation = 0;  ///< standard deviation; 0 where the case gives no spread

    bool known() const { return !std::isnan(value); }
};

/// Absent from the case (nullopt) is not the same as given as "?" (present, not known()).
using OptionalQuantity = std::optional<Quantity>;

}  // namespace evenhead::model
