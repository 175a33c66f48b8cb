// What can be wrong with a system in the ground: kinds of faults, how often they occur and how badly.
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace evenhead::model {

enum class FaultKind {
    blockage,        ///< one spot; severity: share of the bore's area that is closed
    narrow_run,      ///< a run of pipe, or one pipe; share of the bore (diameter) that is lost
    leak,            ///< at a point; its flow in the run, m3/s
    clogged_nozzle,  ///< a head; factor on its flow, below 1
    larger_nozzle,   ///< a head, a group of heads, or all of a zone; factor on flow, above 1
    missing_nozzle,  ///< a head; factor on flow, far above 1
    low_supply,      ///< a supply; pressure lost at any flow, Pa
    regulator_low,   ///< what holds a pressure; how far it holds too low, Pa
    second_zone_on,  ///< a valve that runs besides; no severity
    extra_heads,     ///< at a head; how many more like it
    higher_ground,   ///< a zone; how much higher it lies than drawn, m
    gauge_off,       ///< every pressure read; how much the gauge shows too much, Pa
};
inline constexpr std::size_t fault_kinds = 12;

/// `blockage`, `narrow-run` ...
std::string_view fault_name(FaultKind kind);

/// How often a kind occurs, and the severities that do.
struct FaultPrior {
    enum class Base { itself, of_flow, of_static, of_set };
    enum class Even { itself, log, open, signs };
    double weight = 0;         ///< of all its places together
    double low = 0, high = 0;  ///< SI, or a share of the base
    Base base = Base::itself;
    Even even = Even::itself;

    /// The severity (in units of the base) below which a share of `rank` (0..1) of all severities lie.
    double severity(double rank) const;
};

struct FaultPriors {
    std::array<FaultPrior, fault_kinds> kinds;             ///< by FaultKind
    double as_drawn = 0, two_faults = 0, unexplained = 0;  ///< weights
    double bad_reading = 0;                                ///< chance that a reading is simply wrong ...
    double bad_reading_spread = 1;  ///< ... and then strays, in its standard deviations

    const FaultPrior& operator[](FaultKind kind) const { return kinds[static_cast<std::size_t>(kind)]; }
};

/// The table of the catalogue.
const FaultPriors& fault_priors();

/// Reads a table of the same form; rows that it does not give keep the catalogue's. Throws std::logic_error
/// that names the line.
FaultPriors read_fault_priors(std::string_view text);

}  // namespace evenhead::model
