#include "model/spreads.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "model/catalogue/reader.hpp"
#include "model/catalogue/tables.hpp"

namespace evenhead::model {
namespace {

constexpr std::array<std::string_view, spread_kinds> names{
    "static", "elevation",   "length",      "bore",       "c",          "roughness", "k",
    "nozzle", "swing-joint", "device-loss", "valve-loss", "device-set", "valve-set", "head-set"};

std::string_view own_unit(SpreadKind kind) {
    switch (kind) {
        case SpreadKind::static_pressure:
        case SpreadKind::device_set:
        case SpreadKind::valve_set:
        case SpreadKind::head_set:
            return "psi";
        case SpreadKind::elevation:
            return "ft";
        case SpreadKind::c:
            return "-";
        default:
            return "%";
    }
}

void take(const tables::Line& line, Spreads& spreads) {
    const auto& words = line.words;
    if (line.key != "spread" || words.size() < 3)
        throw std::invalid_argument("a line is: spread KIND AMOUNT UNIT BASIS");
    const auto found = std::find(names.begin(), names.end(), words[0]);
    if (found == names.end()) throw std::invalid_argument("nobody knows the kind " + std::string(words[0]));
    const auto kind = static_cast<SpreadKind>(found - names.begin());
    const double amount = tables::number(words[1]);
    if (!(amount >= 0) || !std::isfinite(amount)) throw std::invalid_argument("a spread is 0 or more");
    Spread spread;
    spread.share = words[2] == "%";
    const bool fits = words[2] == own_unit(kind) || (spread.share && kind != SpreadKind::elevation);
    if (!fits)
        throw std::invalid_argument("the spread of " + std::string(words[0]) + " is in " +
                                    std::string(own_unit(kind)) + ", not in " + std::string(words[2]));
    spread.amount = spread.share        ? amount / 100
                    : words[2] == "ft"  ? amount * 0.3048
                    : words[2] == "psi" ? tables::in_si(amount, "psi")
                                        : amount;
    if (spread.share && !(spread.amount < 0.6))
        throw std::invalid_argument("a spread is below 60 %, or the number could be 0");
    if (words.size() > 3)
        spread.basis = std::string(words[3].data(), words.back().data() + words.back().size());
    spreads.kinds[static_cast<std::size_t>(kind)] = std::move(spread);
}

}  // namespace

std::string_view spread_name(SpreadKind kind) {
    return names[static_cast<std::size_t>(kind)];
}

Spreads read_spreads(std::string_view text) {
    Spreads spreads = usual_spreads();
    tables::read(text, [&](const tables::Line& line) { take(line, spreads); });
    return spreads;
}

const Spreads& usual_spreads() {
    static const Spreads spreads = [] {
        Spreads read;
        tables::read(tables::spreads, [&](const tables::Line& line) { take(line, read); });
        return read;
    }();
    return spreads;
}

}  // namespace evenhead::model
