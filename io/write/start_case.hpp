// A first case from a few answers, with comments that say what was answered and what is assumed.
#pragma once

#include <string>

#include "model/system.hpp"

namespace evenhead::io {

/// An answer as the case will hold it ("62", "4 bar"), and whether somebody gave it.
struct StartAnswer {
    std::string text;
    bool assumed = true;
};

struct StartAnswers {
    model::UnitSystem units = model::UnitSystem::us;
    StartAnswer static_pressure;
    StartAnswer flow, residual;  ///< of a flow test; both empty where there was none
    StartAnswer distance;        ///< from the supply to the zone's valve
    StartAnswer rise;            ///< from the supply to the heads
    int heads = 0;
    bool heads_assumed = true;
    StartAnswer spacing;
    StartAnswer nozzle_flow;  ///< of one head at `nozzle_pressure`
    StartAnswer nozzle_pressure;
    std::string least_pressure;  ///< at the nozzle, assumed
    std::string zone_flow;       ///< of all heads at `nozzle_pressure`, rounded
    StartAnswer pipe;            ///< "kind size"
    bool regulated = true;       ///< the heads hold their nozzles to `nozzle_pressure`
    bool regulated_assumed = true;
    std::string valve_size;  ///< nominal, "1"
};

/// The case as a TOML document.
std::string start_case(const StartAnswers& answers);

}  // namespace evenhead::io
