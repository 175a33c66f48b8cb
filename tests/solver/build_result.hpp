// Balanced runs written down by hand, for tests of what is built on them.
#pragma once

#include <limits>
#include <vector>

#include "model/system.hpp"
#include "solver/balance/result.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::test {

inline constexpr double psi = 6894.757293168361;                    // Pa
inline constexpr double gpm = 231 * 0.0254 * 0.0254 * 0.0254 / 60;  // m3/s
inline constexpr double foot = 0.3048;                              // m
inline constexpr double inch = 0.0254;                              // m

/// A solved run in which nothing flows and nothing is reached; the test fills in what it needs.
inline solver::RunResult blank_result(const model::System& system, std::vector<Index> open = {}) {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    solver::RunResult result;
    result.run = 0;
    result.open = std::move(open);
    result.supply_flow.assign(system.supplies.size(), 0);
    result.supply_pressure.assign(system.supplies.size(), nan);
    result.head_flow.assign(system.heads.size(), 0);
    result.head_pressure.assign(system.heads.size(), nan);
    result.head_radius.assign(system.heads.size(), nan);
    result.point_pressure.assign(system.points.size(), nan);
    result.pipe_flow.assign(system.pipes.size(), 0);
    result.pipe_velocity.assign(system.pipes.size(), 0);
    result.pipe_loss.assign(system.pipes.size(), 0);
    result.device_flow.assign(system.devices.size(), 0);
    result.device_inlet.assign(system.devices.size(), nan);
    result.device_outlet.assign(system.devices.size(), nan);
    result.valve_flow.assign(system.valves.size(), 0);
    result.valve_inlet.assign(system.valves.size(), nan);
    result.valve_outlet.assign(system.valves.size(), nan);
    const auto every = [](std::size_t count) { return solver::Spans{{0, static_cast<Index>(count)}}; };
    result.concerned = {every(system.points.size()), every(system.pipes.size()), every(system.devices.size()),
                        every(system.valves.size()), every(system.heads.size())};
    result.lowest_pressure = -std::numeric_limits<double>::infinity();  // rules look at every row
    result.highest_pressure = std::numeric_limits<double>::infinity();
    result.device_holding.assign(system.devices.size(), 0);
    result.valve_holding.assign(system.valves.size(), 0);
    result.head_holding.assign(system.heads.size(), 0);
    result.closure.solved = true;
    return result;
}

}  // namespace evenhead::test
