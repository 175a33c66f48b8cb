// What the crew's sheets count with: wire by its published resistance, what a solenoid draws, flow limits,
// air for blowing out.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "model/system.hpp"

namespace evenhead::model {

/// A wire that is sold.
struct WireGauge {
    std::string name;  ///< "18 AWG", "0.8 mm2"
    bool metric = false;
    double resistance = 0;  ///< ohm per m of one conductor, at 20 degC
};

/// A share of a flow, and why.
struct FlowShare {
    double share = 0;
    std::string reason;
};

struct CrewTable {
    std::vector<WireGauge> wires;    ///< of each system of units the thinnest first
    double per_degree = 0;           ///< of its resistance at 20 degC, by which copper gains with each degC
    double ground_temperature = 20;  ///< degC
    double controller = 0;           ///< V at the terminals
    double inrush = 0, holding = 0;  ///< A that a solenoid draws
    double least = 0;                ///< V that it needs to pull in
    FlowShare low, high, leak;       ///< of the flow foretold; leak: of the smallest zone's
    double air_pvc = 0, air_polyethylene = 0, air_other = 0;  ///< Pa, the most for blowing out
    std::string air_basis;                                    ///< as the row of PVC says it

    /// Null where nobody knows the name.
    const WireGauge* find(std::string_view name) const;
    /// Ohm per m in the ground.
    double resistance_of(const WireGauge& wire) const {
        return wire.resistance * (1 + per_degree * (ground_temperature - 20));
    }
    /// Pa, for pipe of this material.
    double air_limit(Material material) const;
};

/// The table of the catalogue.
const CrewTable& crew_table();

/// Reads a table of the same form. Rows that it does not give keep the catalogue's. Throws std::logic_error
/// that names the line.
CrewTable read_crew_table(std::string_view text);

}  // namespace evenhead::model
