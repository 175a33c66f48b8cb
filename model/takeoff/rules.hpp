// What a take-off counts with: pieces, joints, waste, trenches, wire, boxes, and the shipped prices, which
// are invented.
#pragma once

#include <array>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/takeoff/items.hpp"

namespace evenhead::model {

/// Length that is usual in US and in metric cases, m.
struct UsualLength {
    double us = 0, metric = 0;
    double in(UnitSystem units) const { return units == UnitSystem::us ? us : metric; }
};

/// How pipe of some kinds is sold, joined and turned.
struct PipeRule {
    enum class Joined { coupling, fusion, threaded, bell };
    std::string kinds;   ///< "pvc-*", "pe-sidr19", "*"
    double largest = 0;  ///< m, outside diameter up to which this holds; infinity: any
    std::string family;  ///< of its fittings
    double piece = 0;    ///< m
    bool coil = false;
    Joined joined = Joined::coupling;
    double elbows_from = 0;  ///< degrees of turn; less is sprung
};

struct WireRule {
    UsualLength reach;       ///< the longest way that it serves; infinity: any
    std::string us, metric;  ///< "18 AWG", "0.8 mm2"
};

struct InletRule {
    std::string thread;  ///< nominal, in
    double flow = 0;     ///< m3/s at the design pressure, up to which it serves
};

struct PriceRule {
    double at_one_inch = 0;  ///< money for one, or for a metre
    double power = 0;        ///< of the diameter in inches
};

enum class BoxKind { nothing, round, standard };

struct TakeoffRules {
    std::vector<PipeRule> pipes;            ///< the first that fits counts
    double pipe_waste = 0, wire_waste = 0;  ///< shares
    UsualLength trench_width;               ///< within which pipes share a trench
    UsualLength mainline_depth, lateral_depth;
    UsualLength wire_slack, wire_spool, box_reach;
    int box_valves = 1, connectors = 0;
    std::array<BoxKind, 11> device_box{};  ///< by DeviceType
    std::vector<WireRule> wires;
    std::vector<InletRule> inlets;
    std::array<std::optional<PriceRule>, 64> prices{};  ///< by TakeoffItem
    std::vector<std::pair<std::string, double>> family_factors;

    /// The rule of a pipe; throws std::logic_error where none fits (the shipped table has one for all).
    const PipeRule& of(const PipeSize& size) const;
    double family_factor(std::string_view family) const;
};

/// The table of the catalogue.
const TakeoffRules& takeoff_rules();

/// Reads a table of the same form. Rows that it does not give keep the catalogue's; of pipe, gauge and
/// head-inlet, where rows follow each other, all are replaced by those given. Throws std::logic_error that
/// names the line.
TakeoffRules read_takeoff_rules(std::string_view text);

}  // namespace evenhead::model
