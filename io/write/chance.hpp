// How likely each head gets too little, as a piece of a longer answer.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "io/write/json_writer.hpp"
#include "io/write/layout.hpp"
#include "io/write/sentences.hpp"
#include "model/spreads.hpp"
#include "solver/review/chance.hpp"

namespace evenhead::io {

/// Heads by their chance, and what was taken for the spreads.
std::string chance_text(const Speaker& speaker, const solver::Chance& chance, const model::Spreads& spreads,
                        const Page& page);

/// The keys `chance`, `chance_of` (samples, seed) and `spreads` of the object that is open.
void chance_json(JsonWriter& json, const Speaker& speaker, const solver::Chance& chance,
                 const model::Spreads& spreads);

/// The key `spreads` alone: what the table takes for the spread of each kind of number.
void spreads_json(JsonWriter& json, const ShownUnits& units, const model::Spreads& spreads);

/// How many inputs were drawn and how often, and what the columns of its table say.
std::string chance_words(const solver::Chance& chance);
/// How many balances had no solution.
std::string chance_unsolved_words(const solver::Chance& chance);
/// Said before the list of spreads.
inline constexpr std::string_view spreads_words =
    "Spreads that the case gives are its own (\"62 +- 4 psi\"); of the others these were taken, nineteen "
    "times in twenty within (--spreads takes another table):";

/// The likeliest to get too little first, those without a chance last.
std::vector<const solver::HeadChance*> by_chance(const solver::Chance& chance);
/// "12 %", "under 0.1 %", "0 %", "-".
std::string share_below(double share);
/// "static +-5 psi: common practice ...", a line for each kind that the table gives.
std::vector<std::string> spread_lines(const ShownUnits& units, const model::Spreads& spreads);

}  // namespace evenhead::io
