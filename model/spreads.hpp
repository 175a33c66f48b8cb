// How far off the numbers of a case are where it does not say.
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <string_view>

namespace evenhead::model {

/// Kinds of numbers, as the table names them.
enum class SpreadKind {
    static_pressure,
    elevation,
    length,
    bore,
    c,
    roughness,
    k,
    nozzle,
    swing_joint,
    device_loss,
    valve_loss,
    device_set,
    valve_set,
    head_set
};
inline constexpr std::size_t spread_kinds = 14;

/// `static`, `elevation` ...
std::string_view spread_name(SpreadKind kind);

/// One line of the table. Nineteen times in twenty the truth lies within `amount`: two standard deviations.
struct Spread {
    double amount = 0;   ///< SI, or a share of the number; 0: exact
    bool share = false;  ///< of the number
    std::string basis;
};

struct Spreads {
    std::array<Spread, spread_kinds> kinds;  ///< by SpreadKind
    const Spread& operator[](SpreadKind kind) const { return kinds[static_cast<std::size_t>(kind)]; }
};

/// The table of the catalogue.
const Spreads& usual_spreads();

/// Reads a table of the same form; kinds that it does not give keep the catalogue's. Throws std::logic_error
/// that names the line.
Spreads read_spreads(std::string_view text);

}  // namespace evenhead::model
