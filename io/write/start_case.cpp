#include "io/write/start_case.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/units.hpp"
#include "io/write/json_writer.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

/// A bare number stands as it is; a quantity with its unit, or any other text, in quotes (TOML's are JSON's).
std::string toml_value(const std::string& text) {
    const bool bare = !text.empty() && text.find_first_not_of("0123456789.-") == std::string::npos &&
                      text.front() != '.' && text.back() != '.';
    return bare ? text : json_string(text);
}

std::string origin(const StartAnswer& answer) {
    return answer.assumed ? "assumed" : "as answered";
}

}  // namespace

std::string start_case(const StartAnswers& answers) {
    const bool us = answers.units == model::UnitSystem::us;
    const auto word = [&](Dimension dimension) { return unit_word(dimension, answers.units); };
    const std::string size = json_string(answers.pipe.text);
    std::string text;
    const auto add = [&]<typename... Parts>(fmt::format_string<Parts...> format, Parts&&... parts) {
        text += fmt::format(format, std::forward<Parts>(parts)...) + "\n";
    };

    add("# A first case: one supply, one zone, one row of heads. Lines that say \"assumed\" hold values that "
        "nobody");
    add("# measured: put the real ones in their place, then check again.");
    add("# Not for fire protection. Locate buried utilities before digging; the local plumbing code "
        "decides.");
    add("title = \"First case\"");
    add("units = {}   # bare numbers: {}, {}, {}", us ? "\"us\"" : "\"metric\"", word(Dimension::pressure),
        word(Dimension::flow), word(Dimension::length));
    add("");
    add("# Height of everything that gives none, {}; the supply is at 0. The rise is {}.",
        word(Dimension::length), origin(answers.rise));
    add("ground = {}", toml_value(answers.rise.text));
    add("");
    add("# static: the pressure when nothing runs ({}). Design for the lowest of the season.",
        origin(answers.static_pressure));
    if (answers.flow.text.empty()) {
        add("# No flow test: the pressure is taken to hold at any flow, which is too good. Open a hose "
            "valve, measure");
        add("# flow and pressure together, and add  flow = ..., residual = ...");
        add("supplies = [ {{ id = \"street\", static = {}, elev = 0 }} ]",
            toml_value(answers.static_pressure.text));
    } else {
        add("# flow with residual: what a flow test showed ({}).", origin(answers.residual));
        add("supplies = [ {{ id = \"street\", static = {}, flow = {}, residual = {}, elev = 0 }} ]",
            toml_value(answers.static_pressure.text), toml_value(answers.flow.text),
            toml_value(answers.residual.text));
    }
    add("");
    add("# Assumed: a backflow preventer with the loss of a double check or a vacuum breaker. A "
        "reduced-pressure one");
    add("# takes about {} more: put in the figures of yours (flow, loss). Add the meter too where there is "
        "one:",
        us ? "6 psi" : "40 kPa");
    add("# {{ id = \"meter\", type = \"meter\", flow = ..., loss = ..., safe_flow = ... }}");
    add("devices = [ {{ id = \"backflow\", type = \"backflow\", flow = [0, {}], loss = [{}] }} ]",
        answers.zone_flow, us ? "3, 5" : "20, 35");
    add("");
    add("# Assumed: a valve of this size with a generic loss. Put in its cv{}.", us ? "" : " or kv");
    add("valves = [ {{ id = \"zone\", size = {} }} ]", json_string(answers.valve_size));
    add("");
    add("# Flow of one nozzle ({}) at its pressure ({}). Its own table is better: rows of pressure, flow and",
        origin(answers.nozzle_flow), origin(answers.nozzle_pressure));
    add("# radius, and the pressures it works at. Assumed: min, two thirds of design; without max, 1.2 x "
        "design counts.");
    add("nozzles = [");
    add("  {{ id = \"nozzle\", pressure = {0}, flow = {1}, min = {2}, design = {0} }},",
        toml_value(answers.nozzle_pressure.text), toml_value(answers.nozzle_flow.text),
        answers.least_pressure);
    add("]");
    add("");
    add("# Number of heads: {}. Spacing: {}. Pipe: {}.", answers.heads_assumed ? "assumed" : "as answered",
        origin(answers.spacing), origin(answers.pipe));
    add("laterals = [");
    add("  {{ id = \"H\", from = \"zone\", first = {0}, heads = {1}, spacing = {0}, nozzle = \"nozzle\", "
        "size = {2} }},",
        toml_value(answers.spacing.text), answers.heads, size);
    add("]");
    if (answers.regulated) {
        add("");
        add("# The bodies hold their nozzles to this pressure ({}). Leave these rows out for plain bodies.",
            answers.regulated_assumed ? "assumed" : "as answered");
        add("heads = [");
        for (int i = 1; i <= answers.heads; ++i)
            add("  {{ id = \"H{}\", set = {} }},", i, toml_value(answers.nozzle_pressure.text));
        add("]");
    }
    add("");
    add("# From the supply to the zone's valve: {}. Fittings: 10 % more length, assumed.",
        origin(answers.distance));
    add("pipes = [");
    add("  {{ from = \"street\", to = \"backflow\", length = {}, size = {} }},", us ? 5 : 2, size);
    add("  {{ from = \"backflow\", to = \"zone\", length = {}, size = {}, fittings = \"10 %\" }},",
        toml_value(answers.distance.text), size);
    add("]");
    return text;
}

}  // namespace evenhead::io
