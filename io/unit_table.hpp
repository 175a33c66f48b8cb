// The table of unit words, shared by the conversions and by the reader of quantities.
#pragma once

#include <algorithm>
#include <string_view>
#include <vector>

#include "model/quantity.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// si = (value - offset) * numerator / denominator.
struct Unit {
    std::string_view word;
    model::Dimension measures;
    double numerator = 1, denominator = 1, offset = 0;

    double to_si(double value) const { return (value - offset) * numerator / denominator; }
    double from_si(double si) const { return si * denominator / numerator + offset; }
    double difference_to_si(double value) const { return value * numerator / denominator; }
};

/// Every unit that a quantity may be written in.
const std::vector<Unit>& known_units();

template <typename Units>
const Unit* find_unit(const Units& units, std::string_view word) {
    const auto found =
        std::find_if(units.begin(), units.end(), [&](const Unit& unit) { return unit.word == word; });
    return found == units.end() ? nullptr : &*found;
}

/// The unit of a bare number; null for pure numbers.
const Unit* bare_unit(model::Dimension dimension, model::UnitSystem units);

}  // namespace evenhead::io
