// What a balanced run is: flows, pressures, closure, or the reason why there is none. Everything by position
// in the System's tables and in SI: m3/s, Pa (gauge, at the point's own elevation), m/s. NaN = no supply
// reaches it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/system.hpp"
#include "solver/balance/spans.hpp"

namespace evenhead::solver {

using model::Index;

/// How closely the numbers close, computed from the laws by code that shares nothing with the assembly.
struct Closure {
    bool solved = false;              ///< imbalance and mismatch within the thresholds of the specification
    int steps = 0;                    ///< linear solves
    double flow = 0;                  ///< m3/s, largest imbalance at a point
    double pressure = 0;              ///< Pa, largest mismatch of an element's law
    Index worst_point = model::none;  ///< point of the largest imbalance
    std::string worst_element;  ///< "pipe", "device", "valve", "head" or "supply" of the largest mismatch ...
    Index worst_index = model::none;  ///< ... and its position
};

/// What an element is, for messages: which table and which row.
enum class ElementKind { point, pipe, device, valve, head, supply, run };
struct ElementRef {
    ElementKind kind = ElementKind::point;
    Index index = model::none;
    bool operator==(const ElementRef&) const = default;
};

/// Why a run has no proven solution.
struct Failure {
    /// no-supply: no open way from a supply to any open head; several-states: regulators that feed each
    /// other, contradiction: none of their states fits; boundless-flow: what fixes pressures is joined by
    /// next to nothing; lossless-ring; unknown-value; not-converged.
    std::string kind;
    struct Worst {
        ElementRef at;
        double value = 0, limit = 0;
        model::Dimension dimension = model::Dimension::none;
    };
    std::vector<Worst> points;         ///< the worst points: how far from balance, against what limit
    std::vector<ElementRef> elements;  ///< the elements that the reason is about
    std::string text, cause, remedy;   ///< one sentence each; ids are put in by io from `elements`
};

/// One step of the iteration, for --verbose.
struct Step {
    int number = 0;
    double mismatch = 0;  ///< Pa, largest
    ElementRef where;
    double length = 1;  ///< of the step taken, 0..1
};

struct RunResult {
    Index run = model::none;
    std::vector<Index> open;  ///< valves
    double flow = 0;          ///< m3/s, all heads together

    std::vector<double> supply_flow, supply_pressure;
    std::vector<double> head_flow, head_pressure,
        head_radius;                     ///< pressure at the nozzle; radius NaN: unknown
    std::vector<double> point_pressure;  ///< by point; devices and valves: NaN (see inlet, outlet)
    std::vector<double> pipe_flow;       ///< positive from `from` to `to`
    std::vector<double> pipe_velocity;   ///< no sign
    std::vector<double> pipe_loss;       ///< friction and minor loss, Pa, sign of the flow, no elevation
    std::vector<double> device_flow, device_inlet, device_outlet;
    std::vector<double> valve_flow, valve_inlet, valve_outlet;
    std::vector<char> device_holding, valve_holding,
        head_holding;  ///< 1: the regulation holds its set pressure

    /// Rows that the run may concern, rising: all others have no pressure and no flow.
    struct Rows {
        Spans points, pipes, devices, valves, heads;
    } concerned;
    double lowest_pressure = 0,
           highest_pressure = 0;  ///< Pa, of points and of both sides of devices and valves

    Closure closure;
    std::optional<Failure> failure;  ///< then nothing above but `run`, `open` and `closure` means anything
    std::vector<Step> steps;         ///< filled on demand
};

}  // namespace evenhead::solver
