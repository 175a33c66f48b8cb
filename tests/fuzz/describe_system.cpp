#include <cstdio>

#include "tests/fuzz/decode_system.hpp"

namespace evenhead::fuzz {
namespace {

using namespace model;

constexpr double psi = 6894.757293168361, gpm = 6.30901964e-5, foot = 0.3048, inch = 0.0254;

std::string number(double value) {
    char text[40];
    std::snprintf(text, sizeof text, "%.4g", value);
    return text;
}

std::string chart(const std::vector<ChartRow>& rows, double at_unit, double value_unit) {
    std::string text = " [";
    for (const ChartRow& row : rows)
        text += " " + number(row.at.value / at_unit) + ":" + number(row.value.value / value_unit);
    return text + " ]";
}

std::string loss(const Loss& loss) {
    switch (loss.kind) {
        case LossKind::cv:
            return " cv " + number(loss.coefficient.value);
        case LossKind::kv:
            return " kv " + number(loss.coefficient.value);
        case LossKind::k:
            return " k " + number(loss.coefficient.value) + " on " + number(loss.bore.value / inch) + " in";
        case LossKind::chart:
            return " gpm:psi" + chart(loss.chart, gpm, psi);
        case LossKind::lossless:
            break;
    }
    return "";
}

std::string set(const OptionalQuantity& set) {
    return set ? " set " + number(set->value / psi) + " psi" : "";
}

}  // namespace

std::string describe(const System& s) {
    std::string text;
    const auto add = [&](Index point, const std::string& words) {
        const Point& of = s.points[static_cast<std::size_t>(point)];
        text += of.id + " at " + number(of.elevation->value / foot) + " ft: " + words + "\n";
    };
    text += s.friction == FrictionLaw::hazen_williams ? "Hazen-Williams" : "Darcy-Weisbach";
    text += ", " + number(s.temperature) + " degC\n";
    for (const Nozzle& nozzle : s.nozzles)
        text += nozzle.id + ": nozzle psi:gpm" + chart(nozzle.rows, psi, gpm) + " exponent " +
                number(nozzle.exponent) + "\n";
    for (const Supply& supply : s.supplies)
        add(supply.point, "supply " + number(supply.static_pressure.value / psi) + " psi, gpm:psi" +
                              chart(supply.tests, gpm, psi));
    for (const Device& device : s.devices) {
        const bool pump = device.type == DeviceType::pump;
        add(device.point,
            (pump ? "pump gpm:psi" + chart(device.rise, gpm, psi) : "device" + loss(device.loss)) +
                set(device.set) + (device.one_way ? " one-way" : "") + (device.closed ? " closed" : ""));
    }
    for (const Valve& valve : s.valves)
        add(valve.point,
            "valve" + loss(valve.loss) + set(valve.set) + (valve.head != none ? " of a head" : ""));
    for (const Head& head : s.heads)
        add(head.point, "head n" + std::to_string(head.nozzle) + loss(head.joint) + set(head.set));
    for (const Pipe& pipe : s.pipes) {
        text += s.pipe_id(pipe) + ": " + s.point_id(pipe.from) + " to " + s.point_id(pipe.to) + ", " +
                number(pipe.length.value / foot) + " ft of " + number(pipe.size->bore.value / inch) +
                " in, C " + number(pipe.size->c.value) + ", roughness " + number(pipe.size->roughness.value) +
                " m, k " + number(pipe.k.value) + ", fittings " + number(pipe.fittings) +
                (pipe.closed ? ", closed" : "") + "\n";
    }
    for (const Run& run : s.runs) {
        text += "run " + run.id + ":";
        for (const Index valve : run.valves)
            text += " " + s.point_id(s.valves[static_cast<std::size_t>(valve)].point);
        text += "\n";
    }
    return text;
}

}  // namespace evenhead::fuzz
