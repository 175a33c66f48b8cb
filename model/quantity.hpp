// A number of the case: SI, with how well it is known.
#pragma once

#include <cmath>
#include <limits>
#include <optional>

#include "model/seldom.hpp"

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

/// A quantity that a row may leave out. Absent is not the same as given as "?" (present, not known()). Used
/// like std::optional, but no longer than a Quantity: a deviation is never negative, so that a negative one
/// marks what is absent.
class OptionalQuantity {
  public:
    OptionalQuantity() = default;
    OptionalQuantity(std::nullopt_t) {}
    OptionalQuantity(const Quantity& quantity) : quantity_(quantity) {}
    OptionalQuantity(const Seldom<Quantity>& quantity) {
        if (quantity) quantity_ = *quantity;
    }

    bool has_value() const { return !(quantity_.deviation < 0); }
    explicit operator bool() const { return has_value(); }
    Quantity& operator*() { return quantity_; }
    const Quantity& operator*() const { return quantity_; }
    Quantity* operator->() { return &quantity_; }
    const Quantity* operator->() const { return &quantity_; }
    Quantity value_or(const Quantity& otherwise) const { return has_value() ? quantity_ : otherwise; }
    void reset() { quantity_ = absent; }
    operator Seldom<Quantity>() const {
        return has_value() ? Seldom<Quantity>(quantity_) : Seldom<Quantity>();
    }

  private:
    static constexpr Quantity absent{std::numeric_limits<double>::quiet_NaN(), -1};
    Quantity quantity_ = absent;
};

}  // namespace evenhead::model
