#include "io/write/shown_units.hpp"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>

#include "io/units.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

struct Digits {
    std::string_view word;
    int decimals;
};

// About a hundredth of what a gauge, a meter or a tape can tell apart.
constexpr std::array<Digits, 25> digits_of_unit{{
    {"psi", 1}, {"kPa", 1},   {"bar", 2},  {"MPa", 3},  {"mH2O", 2}, {"ftH2O", 1}, {"gpm", 1},
    {"gph", 0}, {"L/min", 1}, {"L/s", 3},  {"m3/h", 2}, {"cfs", 4},  {"ft", 1},    {"in", 3},
    {"m", 2},   {"cm", 0},    {"mm", 1},   {"ft/s", 1}, {"m/s", 2},  {"in/h", 2},  {"mm/h", 1},
    {"ft2", 0}, {"m2", 1},    {"degF", 1}, {"degC", 1},
}};

int decimals_of(std::string_view word, double value) {
    // A nozzle's flow is quoted in hundredths of a gallon.
    if (word == "gpm" && std::abs(value) < 9.995) return 2;
    for (const Digits& row : digits_of_unit)
        if (row.word == word) return row.decimals;
    return word == "%" ? 1 : 3;
}

std::string fixed(double value, int decimals) {
    std::array<char, 64> text{};
    const auto end =
        std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed, decimals);
    if (end.ec != std::errc()) return fmt::format("{:.6g}", value);
    std::string result(text.data(), end.ptr);
    // -0.0 says nothing that 0.0 does not.
    if (result.find_first_not_of("-0.") == std::string::npos && result.front() == '-') result.erase(0, 1);
    return result;
}

}  // namespace

ShownUnits ShownUnits::of_text(const model::System& system) {
    ShownUnits units = of_case(system.units);
    for (const std::string& word : system.show)
        if (const auto dimension = dimension_of(word)) units.shown_[*dimension] = word;
    return units;
}

ShownUnits ShownUnits::of_case(model::UnitSystem system) {
    ShownUnits units;
    units.units_ = system;
    return units;
}

std::string_view ShownUnits::word(Dimension dimension) const {
    const auto found = shown_.find(dimension);
    if (found != shown_.end()) return found->second;
    if (dimension == Dimension::share) return "%";
    return unit_word(dimension, units_);
}

double ShownUnits::in_unit(double si, Dimension dimension) const {
    const auto found = shown_.find(dimension);
    return found != shown_.end() ? to_unit(si, found->second) : to_units(si, dimension, units_);
}

std::string ShownUnits::number(double si, Dimension dimension, int more) const {
    const double value = in_unit(si, dimension);
    if (std::isnan(value)) return "-";
    return fixed(value, decimals_of(word(dimension), value) + more);
}

std::string ShownUnits::text(double si, Dimension dimension, int more) const {
    if (std::isnan(si)) return "not known";
    const std::string_view unit = word(dimension);
    return unit.empty() ? number(si, dimension, more)
                        : fmt::format("{} {}", number(si, dimension, more), unit);
}

std::string ShownUnits::limit(double si, Dimension dimension) const {
    if (std::isnan(si)) return "not known";
    const std::string_view unit = word(dimension);
    const std::string value = fmt::format("{:.5g}", in_unit(si, dimension));
    return unit.empty() ? value : fmt::format("{} {}", value, unit);
}

std::string ShownUnits::beside(double si, double limit, Dimension dimension) const {
    int more = 0;
    while (more < 6 && number(si, dimension, more) == number(limit, dimension, more)) ++more;
    return text(si, dimension, more);
}

}  // namespace evenhead::io
