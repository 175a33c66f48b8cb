// Reads one quantity: number or fraction, unit, spread; "10 gal in 146 s"; "?".
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "io/excerpt.hpp"
#include "io/unit_table.hpp"
#include "io/units.hpp"

namespace evenhead::io {

using model::Dimension;
using model::Quantity;
using model::UnitSystem;

namespace {

// Only inside "10 gal in 146 s"; a volume alone is no quantity of a case.
constexpr std::array volume_units = {
    Unit{"gal", Dimension::none, 0.003785411784},
    Unit{"L", Dimension::none, 1, 1000},
    Unit{"m3", Dimension::none},
    Unit{"ft3", Dimension::none, 0.028316846592},
};

// What people write instead, for the mend only: it is still refused, so that a case means the same to every
// reader.
constexpr std::array<std::array<std::string_view, 2>, 36> usual_spellings = {{
    {"lpm", "L/min"},  {"lps", "L/s"},     {"m³/h", "m3/h"}, {"cmh", "m3/h"},  {"m^3/h", "m3/h"},
    {"m3/hr", "m3/h"}, {"gal/min", "gpm"}, {"gal/h", "gph"}, {"ft3/s", "cfs"}, {"psig", "psi"},
    {"lb/in2", "psi"}, {"lbf/in2", "psi"}, {"foot", "ft"},   {"feet", "ft"},   {"'", "ft"},
    {"′", "ft"},       {"’", "ft"},        {"inch", "in"},   {"inches", "in"}, {"\"", "in"},
    {"″", "in"},       {"”", "in"},        {"fps", "ft/s"},  {"mps", "m/s"},   {"sqft", "ft2"},
    {"ft²", "ft2"},    {"m²", "m2"},       {"°F", "degF"},   {"F", "degF"},    {"°C", "degC"},
    {"C", "degC"},     {"percent", "%"},   {"sec", "s"},     {"hr", "h"},      {"°", "deg"},
    {"in/hr", "in/h"},
}};

/// Bores and roughness are lengths too, a modulus is a pressure: what a unit word can tell apart.
constexpr Dimension measure_of(Dimension dimension) {
    switch (dimension) {
        case Dimension::bore:
        case Dimension::roughness:
            return Dimension::length;
        case Dimension::modulus:
            return Dimension::pressure;
        default:
            return dimension;
    }
}

std::string_view name_of(Dimension dimension) {
    switch (dimension) {
        case Dimension::none:
            return "a plain number";
        case Dimension::pressure:
            return "a pressure";
        case Dimension::flow:
            return "a flow";
        case Dimension::length:
            return "a length";
        case Dimension::bore:
            return "a bore";
        case Dimension::velocity:
            return "a velocity";
        case Dimension::rate:
            return "a precipitation rate";
        case Dimension::area:
            return "an area";
        case Dimension::temperature:
            return "a temperature";
        case Dimension::roughness:
            return "a roughness";
        case Dimension::modulus:
            return "a modulus";
        case Dimension::price:
            return "a price";
        case Dimension::share:
            return "a share";
        case Dimension::time:
            return "a time";
        case Dimension::angle:
            return "an angle";
    }
    return "a number";
}

bool is_blank(char c) {
    return c == ' ' || c == '\t';
}
bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

std::string_view usual_spelling(std::string_view word) {
    for (const auto& [written, right] : usual_spellings)
        if (written == word) return right;
    for (const Unit& unit : known_units())
        if (std::equal(word.begin(), word.end(), unit.word.begin(), unit.word.end(),
                       [](char a, char b) { return lower(a) == lower(b); }))
            return unit.word;
    return {};
}

std::string words_of(Dimension dimension) {
    std::string words;
    for (const Unit& unit : known_units())
        if (unit.measures == measure_of(dimension))
            words += (words.empty() ? "" : ", ") + std::string(unit.word);
    return words;
}

/// What would have been right, e.g. `write a number (it means psi) or a number with its unit: psi, kPa, ...`.
std::string right_way(Dimension dimension, UnitSystem units) {
    if (dimension == Dimension::none) return "write a number without a unit";
    return "write a number (it means " + std::string(unit_word(dimension, units)) +
           ") or a number with its unit: " + words_of(dimension);
}

/// Digits only, taken off the front of `text`.
std::optional<double> take_digits(std::string_view& text) {
    double value = 0;
    if (text.empty() || !is_digit(text.front())) return std::nullopt;
    const auto [end, error] =
        std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
    if (error != std::errc()) return std::nullopt;
    const std::string_view written = text.substr(0, static_cast<std::size_t>(end - text.data()));
    if (written.find('.') != std::string_view::npos) return std::nullopt;
    text.remove_prefix(written.size());
    return value;
}

/// "/4" after a numerator; leaves `text` alone where there is none.
std::optional<double> take_denominator(std::string_view& text) {
    if (text.empty() || text.front() != '/') return std::nullopt;
    std::string_view rest = text.substr(1);
    const auto denominator = take_digits(rest);
    if (denominator) text = rest;
    return denominator;
}

/// A decimal number, a fraction "3/4" or a mixed one "1-1/4", "1 1/4", taken off the front of `text`.
/// Empty where no finite number stands there.
std::optional<double> take_number(std::string_view& text) {
    std::string_view rest = text;
    double sign = 1;
    if (!rest.empty() && (rest.front() == '+' || rest.front() == '-')) {
        if (rest.front() == '-') sign = -1;
        rest.remove_prefix(1);
    }
    // from_chars would take "inf" and "nan" as well.
    if (rest.empty() || !(is_digit(rest.front()) || rest.front() == '.')) return std::nullopt;
    double value = 0;
    const char* const begin = rest.data();
    const auto [end, error] = std::from_chars(begin, begin + rest.size(), value);
    if (error != std::errc() || !std::isfinite(value)) return std::nullopt;
    const bool whole = std::all_of(begin, end, is_digit);
    rest.remove_prefix(static_cast<std::size_t>(end - begin));
    if (whole && !rest.empty()) {
        if (const auto denominator = take_denominator(rest)) {
            value /= *denominator;
        } else if (rest.front() == '-' || is_blank(rest.front())) {
            std::string_view fraction = rest.front() == '-' ? rest.substr(1) : trimmed(rest);
            if (const auto numerator = take_digits(fraction))
                if (const auto below = take_denominator(fraction)) {
                    value += *numerator / *below;
                    rest = fraction;
                }
        }
    }
    if (!std::isfinite(value)) return std::nullopt;
    text = rest;
    return sign * value;
}

/// A number with whatever stands after it, e.g. 62 and "psi".
struct Amount {
    double number = 0;
    std::string_view word;
};

std::optional<Amount> read_amount(std::string_view text) {
    text = trimmed(text);
    const auto number = take_number(text);
    if (!number) return std::nullopt;
    return Amount{*number, trimmed(text)};
}

/// "62 +- 4 psi" cut at its spread; `spread` is empty where the text has none.
struct Halves {
    std::string_view value, spread;
    bool has_spread = false;
};

Halves cut_at_spread(std::string_view text) {
    for (const std::string_view mark :
         {std::string_view("+-"), std::string_view("±"), std::string_view("+/-")})
        if (const std::size_t at = text.find(mark); at != std::string_view::npos)
            return {trimmed(text.substr(0, at)), trimmed(text.substr(at + mark.size())), true};
    return {text, {}, false};
}

ParsedQuantity wrong(std::string error, std::string mend) {
    return {{}, std::move(error), std::move(mend)};
}

ParsedQuantity wrong_comma(std::string_view text) {
    return wrong(quoted(text) + " has a comma in its number",
                 "write a point for the decimals and nothing between the thousands: 3.5, 1000");
}

ParsedQuantity wrong_number(std::string_view text, std::string_view part, Dimension dimension,
                            UnitSystem units) {
    const std::string_view clean = trimmed(part);
    if (clean.empty())
        return wrong(text.empty() ? "is empty where " + std::string(name_of(dimension)) + " should stand"
                                  : quoted(text) + " lacks a number",
                     right_way(dimension, units) + ", or \"?\" for not known");
    if (clean.front() == ',') return wrong_comma(text);
    return wrong(quoted(text) + " is not " + std::string(name_of(dimension)) +
                     ": it does not begin with a finite number",
                 right_way(dimension, units));
}

ParsedQuantity wrong_unit(std::string_view text, std::string_view word, Dimension dimension,
                          UnitSystem units) {
    const std::string mend = right_way(dimension, units);
    if (word.front() == ',') return wrong_comma(text);
    if (const Unit* unit = find_unit(known_units(), word))
        return wrong(quoted(text) + ": " + std::string(word) + " measures " +
                         std::string(name_of(unit->measures)) + ", not " + std::string(name_of(dimension)),
                     mend);
    if (find_unit(volume_units, word))
        return wrong(
            quoted(text) + ": " + std::string(word) + " measures a volume, not " +
                std::string(name_of(dimension)),
            dimension == Dimension::flow ? "give the time it took: \"10 gal in 146 s\"; or " + mend : mend);
    const std::string_view usual = usual_spelling(word);
    return wrong(quoted(text) + ": " + quoted(word) + " is not a known unit",
                 usual.empty() ? mend : "write " + std::string(usual) + " for it");
}

/// The unit of `word` if it measures this dimension ("" : the bare number's unit); a pure number has none.
const Unit* unit_for(std::string_view word, Dimension dimension, UnitSystem units) {
    if (word.empty()) return bare_unit(dimension, units);
    const Unit* unit = find_unit(known_units(), word);
    return unit && unit->measures == measure_of(dimension) ? unit : nullptr;
}

/// "10 gal in 146 s": both halves may carry a spread of their own, and the last one may be a flow's.
/// Relative deviations of volume and time are independent, so they add up in squares.
std::optional<ParsedQuantity> read_volume_in_time(std::string_view text, UnitSystem units) {
    constexpr std::string_view link = " in ";
    const std::size_t at = text.find(link);
    if (at == std::string_view::npos) return std::nullopt;
    const Halves volume_text = cut_at_spread(text.substr(0, at));
    const Halves time_text = cut_at_spread(text.substr(at + link.size()));
    auto volume = read_amount(volume_text.value);
    if (!volume) return std::nullopt;
    const auto volume_spread = volume_text.has_spread ? read_amount(volume_text.spread) : Amount{};
    if (!volume_spread) return std::nullopt;
    const std::string_view volume_word = volume->word.empty() ? volume_spread->word : volume->word;
    const Unit* volume_unit = find_unit(volume_units, volume_word);
    if (!volume_unit) return std::nullopt;

    const std::string mend =
        "write a volume in a time, such as \"10 gal in 146 s\" (gal, L, m3, ft3; s, min, h)";
    const auto time = read_amount(time_text.value);
    const auto time_spread = time_text.has_spread ? read_amount(time_text.spread) : Amount{};
    if (!time || !time_spread) return wrong(quoted(text) + " lacks the time that the volume took", mend);
    const Unit* time_unit = find_unit(known_units(), time->word.empty() ? time_spread->word : time->word);
    if (!time_unit || time_unit->measures != Dimension::time)
        return wrong(quoted(text) + ": the time needs its unit", mend);
    if (!(time->number > 0)) return wrong(quoted(text) + ": the time must be above zero", mend);
    if (volume_spread->number < 0 || time_spread->number < 0)
        return wrong(quoted(text) + ": a spread cannot be below zero", mend);

    Quantity flow;
    flow.value = volume_unit->to_si(volume->number) / time_unit->to_si(time->number);
    // Spread of one half as a share of the flow; a word that does not fit is an error.
    const auto share = [&](const Amount& spread, std::string_view word,
                           double number) -> std::optional<double> {
        if (spread.number == 0) return 0;
        if (spread.word == "%") return spread.number / 100;
        if (spread.word.empty() || spread.word == word) return spread.number / std::abs(number);
        const Unit* unit = find_unit(known_units(), spread.word);
        if (unit && unit->measures == Dimension::flow)
            return unit->to_si(spread.number) / std::abs(flow.value);
        if (unit && unit->measures == Dimension::time && time_unit->word == word)
            return unit->to_si(spread.number) / time_unit->to_si(std::abs(number));
        return std::nullopt;
    };
    const auto volume_share = share(*volume_spread, volume_word, volume->number);
    const auto time_share = share(*time_spread, time_unit->word, time->number);
    if (!volume_share) return wrong_unit(text, volume_spread->word, Dimension::flow, units);
    if (!time_share) return wrong_unit(text, time_spread->word, Dimension::flow, units);
    flow.deviation = flow.value == 0 ? 0 : std::abs(flow.value) * std::hypot(*volume_share, *time_share) / 2;
    if (!within_reach(flow.value, Dimension::flow) || !within_reach(flow.deviation))
        return wrong(quoted(text) + " is too large or too small to be a flow", mend);
    return ParsedQuantity{flow, {}, {}};
}

}  // namespace

std::optional<Quantity> parse_bare_number(std::string_view text, Dimension dimension, UnitSystem units) {
    double value = 0;
    const char *const begin = text.data(), *const end = begin + text.size();
    const char* const digits = text.starts_with('-') ? begin + 1 : begin;
    // from_chars would take "inf" and "nan" as well.
    if (digits == end || !(is_digit(*digits) || *digits == '.')) return std::nullopt;
    if (const auto [stop, error] = std::from_chars(begin, end, value); error != std::errc() || stop != end)
        return std::nullopt;
    const double si = from_units(value, dimension, units);
    return within_reach(si, dimension) ? std::optional(Quantity{si, 0}) : std::nullopt;
}

ParsedQuantity parse_quantity(std::string_view text, Dimension dimension, UnitSystem units) {
    text = trimmed(text);
    if (text == "?") return {};
    if (dimension == Dimension::flow)
        if (auto flow = read_volume_in_time(text, units)) return *flow;

    const Halves halves = cut_at_spread(text);
    const auto value = read_amount(halves.value);
    if (!value) return wrong_number(text, halves.value, dimension, units);
    const auto spread = halves.has_spread ? read_amount(halves.spread) : Amount{};
    if (!spread) return wrong_number(text, halves.spread, dimension, units);

    // In "62 +- 4 psi" the unit at the end belongs to both; "%" there belongs to the spread alone, unless a
    // share is meant.
    const bool relative = spread->word == "%" && measure_of(dimension) != Dimension::share;
    const std::string_view value_word = value->word.empty() && !relative ? spread->word : value->word;
    const std::string_view spread_word = spread->word.empty() ? value_word : spread->word;
    const Unit* unit = unit_for(value_word, dimension, units);
    if (!unit && !(dimension == Dimension::none && value_word.empty()))
        return wrong_unit(text, value_word, dimension, units);
    if (spread->number < 0)
        return wrong(quoted(text) + ": a spread cannot be below zero",
                     "write how far the truth may lie on either side");

    Quantity quantity;
    quantity.value = unit ? unit->to_si(value->number) : value->number;
    double width = 0;
    if (relative) {
        width = std::abs(value->number) * spread->number / 100;
        if (unit) width = unit->difference_to_si(width);
    } else if (halves.has_spread) {
        const Unit* spread_unit = unit_for(spread_word, dimension, units);
        if (!spread_unit && !(dimension == Dimension::none && spread_word.empty()))
            return wrong_unit(text, spread_word, dimension, units);
        width = spread_unit ? spread_unit->difference_to_si(spread->number) : spread->number;
    }
    quantity.deviation = width / 2;  // nineteen times in twenty inside: two standard deviations
    if (!within_reach(quantity.value, dimension) || !within_reach(quantity.deviation))
        return wrong(quoted(text) + " is too large or too small to be " + std::string(name_of(dimension)),
                     right_way(dimension, units));
    return {quantity, {}, {}};
}

}  // namespace evenhead::io
