#include "io/write/calibration_words_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/units.hpp"
#include "model/position.hpp"

namespace evenhead::io {

using model::Dimension;
using model::LossKind;
using solver::CalibratedInput;
using solver::Choice;
using solver::ElementKind;
using Kind = solver::Input::Kind;

namespace {

std::string_view loss_key(LossKind kind) {
    switch (kind) {
        case LossKind::cv:
            return "cv";
        case LossKind::kv:
            return "kv";
        case LossKind::k:
            return "k";
        default:
            return "loss";
    }
}

/// "97 +- 4 psi": the spread (two standard deviations) with two significant digits, the value as fine.
std::string spread_text(double value, double deviation, std::string_view unit) {
    const double spread = 2 * deviation;
    int decimals = 2;
    if (spread > 0) decimals = std::clamp(1 - static_cast<int>(std::floor(std::log10(spread))), 0, 8);
    return fmt::format("{:.{}f} +- {:.{}f}{}{}", value, decimals, spread, decimals, unit.empty() ? "" : " ",
                       unit);
}
std::string percent_text(double factor, double deviation) {
    return fmt::format("{:.0f} +- {:.0f} %", 100 * factor, std::max(1.0, 200 * deviation));
}

}  // namespace

Naming naming(const model::System& system, const solver::Input& input) {
    const std::size_t row = at(input.rows.front());
    const auto loss = [](const model::Loss& of, ElementKind kind) {
        const bool chart = of.kind == LossKind::chart;
        return Naming{loss_key(of.kind), chart ? "loss" : loss_key(of.kind),
                      chart ? Dimension::share : Dimension::none, kind};
    };
    switch (input.kind) {
        case Kind::supply_pressure:
            return {"static", "static pressure", Dimension::pressure, ElementKind::supply};
        case Kind::pipe_c:
            return {"c", "C"};
        case Kind::pipe_roughness:
            return {"roughness", "roughness", Dimension::roughness};
        case Kind::pipe_bore:
            return {"bore", "bore", Dimension::bore};
        case Kind::pipe_length:
            return {"length", "length", Dimension::length};
        case Kind::pipe_loss:
            return {"k", "k"};
        case Kind::nozzle_flow:
            return {"flow", "flow", Dimension::share, ElementKind::run};
        case Kind::joint:
            return {loss_key(system.heads[row].joint.kind), loss_key(system.heads[row].joint.kind),
                    Dimension::none, ElementKind::head};
        case Kind::device_loss:
            return loss(system.devices[row].loss, ElementKind::device);
        case Kind::valve_loss:
            return loss(system.valves[row].loss, ElementKind::valve);
        case Kind::device_set:
            return {"set", "set pressure", Dimension::pressure, ElementKind::device};
        case Kind::valve_set:
            return {"set", "set pressure", Dimension::pressure, ElementKind::valve};
        case Kind::head_set:
            return {"set", "set pressure", Dimension::pressure, ElementKind::head};
        case Kind::elevation:
            return {"elev", "elevation", Dimension::length, ElementKind::point};
    }
    return {};
}

Found found(const model::System& system, const CalibratedInput& input) {
    Found found{naming(system, input.input), input.after, input.deviation};
    if (input.asked && input.input.kind == Kind::nozzle_flow) {
        const model::Nozzle& nozzle = system.nozzles[at(input.input.rows.front())];
        const double flow = nozzle.rows[nozzle.rows.size() / 2].value.value;  // the one fitted
        found.of.dimension = Dimension::flow;
        found.deviation *= flow / input.after;
        found.after = flow;
    }
    return found;
}

std::string candidate(const model::System& system, const Choice& choice, std::size_t i) {
    if (choice.what == Choice::What::nozzle) return system.nozzles[at(choice.nozzles[i])].id;
    return choice.sizes[i].kind + " " + choice.sizes[i].nominal;
}
std::string_view choice_word(const Choice& choice) {
    return choice.what == Choice::What::size ? "size" : "nozzle";
}

std::string value_text(const model::System& system, const Naming& of, double value, double deviation) {
    if (of.dimension == Dimension::share) return percent_text(value, deviation);
    const auto in_case = [&](double si) { return to_units(si, of.dimension, system.units); };
    // A difference of elevations or pressures has the unit's size, not its zero.
    return spread_text(in_case(value), in_case(deviation) - in_case(0),
                       unit_word(of.dimension, system.units));
}

}  // namespace evenhead::io
