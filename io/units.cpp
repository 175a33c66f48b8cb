#include "io/units.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <limits>

#include "io/unit_table.hpp"

// Numerators and denominators are exact by definition, so no rounding piles up: 1 in = 25.4 mm, 1 lb =
// 0.45359237 kg, g = 9.80665 m/s2, 1 US gallon = 231 in3, 1 psi = 1 lbf/in2 = 0.45359237 * 9.80665 / 0.0254^2
// Pa. A metre of water is the conventional one, 1000 kg/m3 under standard gravity: 9806.65 Pa, whatever the
// case's temperature.
namespace evenhead::io {

using model::Dimension;
using model::UnitSystem;

namespace {

constexpr double pascals_per_psi = 6894.757293168361;
constexpr double gallon = 0.003785411784;      // m3
constexpr double cubic_foot = 0.028316846592;  // m3
constexpr double water_per_metre = 9806.65;    // Pa

}  // namespace

const std::vector<Unit>& known_units() {
    static const std::vector<Unit> units = {
        Unit{"psi", Dimension::pressure, pascals_per_psi},
        Unit{"kPa", Dimension::pressure, 1000},
        Unit{"bar", Dimension::pressure, 100000},
        Unit{"MPa", Dimension::pressure, 1000000},
        Unit{"mH2O", Dimension::pressure, water_per_metre},
        Unit{"ftH2O", Dimension::pressure, 0.3048 * water_per_metre},
        Unit{"gpm", Dimension::flow, gallon, 60},
        Unit{"gph", Dimension::flow, gallon, 3600},
        Unit{"L/min", Dimension::flow, 1, 60000},
        Unit{"L/s", Dimension::flow, 1, 1000},
        Unit{"m3/h", Dimension::flow, 1, 3600},
        Unit{"cfs", Dimension::flow, cubic_foot},
        Unit{"ft", Dimension::length, 0.3048},
        Unit{"in", Dimension::length, 0.0254},
        Unit{"m", Dimension::length},
        Unit{"cm", Dimension::length, 1, 100},
        Unit{"mm", Dimension::length, 1, 1000},
        Unit{"ft/s", Dimension::velocity, 0.3048},
        Unit{"m/s", Dimension::velocity},
        Unit{"in/h", Dimension::rate, 0.0254, 3600},
        Unit{"mm/h", Dimension::rate, 1, 3600000},
        Unit{"ft2", Dimension::area, 0.09290304},
        Unit{"m2", Dimension::area},
        Unit{"degF", Dimension::temperature, 5, 9, 32},
        Unit{"degC", Dimension::temperature},
        Unit{"%", Dimension::share, 1, 100},
        Unit{"s", Dimension::time},
        Unit{"min", Dimension::time, 60},
        Unit{"h", Dimension::time, 3600},
        Unit{"deg", Dimension::angle},
        Unit{"per ft", Dimension::price, 1, 0.3048},
        Unit{"per m", Dimension::price},
    };
    return units;
}

const Unit* bare_unit(Dimension dimension, UnitSystem units) {
    // Looked up once: long tables are full of bare numbers.
    constexpr std::size_t dimensions = static_cast<std::size_t>(Dimension::angle) + 1;
    static const auto bare = [] {
        std::array<std::array<const Unit*, dimensions>, 2> found{};
        for (std::size_t i = 0; i < dimensions; ++i)
            for (const UnitSystem system : {UnitSystem::us, UnitSystem::metric})
                found[static_cast<std::size_t>(system)][i] =
                    find_unit(known_units(), unit_word(static_cast<Dimension>(i), system));
        return found;
    }();
    return bare[static_cast<std::size_t>(units)][static_cast<std::size_t>(dimension)];
}

std::string_view unit_word(Dimension dimension, UnitSystem units) {
    const bool us = units == UnitSystem::us;
    switch (dimension) {
        case Dimension::none:
            return "";
        case Dimension::pressure:
            return us ? "psi" : "kPa";
        case Dimension::flow:
            return us ? "gpm" : "L/min";
        case Dimension::length:
            return us ? "ft" : "m";
        case Dimension::bore:
        case Dimension::roughness:
            return us ? "in" : "mm";
        case Dimension::velocity:
            return us ? "ft/s" : "m/s";
        case Dimension::rate:
            return us ? "in/h" : "mm/h";
        case Dimension::area:
            return us ? "ft2" : "m2";
        case Dimension::temperature:
            return us ? "degF" : "degC";
        case Dimension::modulus:
            return us ? "psi" : "MPa";
        case Dimension::price:
            return us ? "per ft" : "per m";
        case Dimension::share:
            return "%";
        case Dimension::time:
            return "s";
        case Dimension::angle:
            return "deg";
    }
    return "";
}

double to_units(double si, Dimension dimension, UnitSystem units) {
    const Unit* unit = bare_unit(dimension, units);
    return unit ? unit->from_si(si) : si;
}

double from_units(double value, Dimension dimension, UnitSystem units) {
    const Unit* unit = bare_unit(dimension, units);
    return unit ? unit->to_si(value) : value;
}

double to_unit(double si, std::string_view word) {
    const Unit* unit = find_unit(known_units(), word);
    return unit ? unit->from_si(si) : std::numeric_limits<double>::quiet_NaN();
}

std::optional<Dimension> dimension_of(std::string_view word) {
    const Unit* unit = find_unit(known_units(), word);
    return unit ? std::optional(unit->measures) : std::nullopt;
}

const std::vector<std::string_view>& unit_words() {
    static const std::vector<std::string_view> words = [] {
        std::vector<std::string_view> all;
        for (const Unit& unit : known_units()) all.push_back(unit.word);
        return all;
    }();
    return words;
}

bool within_reach(double si, Dimension dimension) {
    const double size = std::abs(si);
    const bool flow = dimension == Dimension::flow;
    return size == 0 || (size >= (flow ? 1e-10 : 1e-30) && size <= (flow ? 1e6 : 1e15));
}

std::string_view shortest(double value, std::array<char, 32>& room) {
    if (!std::isfinite(value)) return "null";
    const auto result = std::to_chars(room.data(), room.data() + room.size(), value);
    return {room.data(), static_cast<std::size_t>(result.ptr - room.data())};
}

std::string shortest(double value) {
    std::array<char, 32> room;
    return std::string(shortest(value, room));
}

}  // namespace evenhead::io
