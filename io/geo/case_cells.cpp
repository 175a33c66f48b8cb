#include "io/geo/case_cells.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>

#include "io/units.hpp"
#include "model/catalogue.hpp"
#include "model/position.hpp"

namespace evenhead::io {

using model::Dimension;
using model::LossKind;
using model::Quantity;

double tidy_number(double value) {
    return std::isfinite(value) && value != 0 ? std::stod(fmt::format("{:.12g}", value)) : value;
}

std::string_view type_word(model::DeviceType type) {
    constexpr std::array<std::string_view, 11> words{"meter",       "backflow",      "filter", "regulator",
                                                     "check",       "gate",          "pump",   "master",
                                                     "flow-sensor", "quick-coupler", "other"};
    return words[static_cast<std::size_t>(type)];
}

std::string size_text(const model::PipeSize& size) {
    if (size.kind.empty() && size.nominal.empty()) return "";
    const std::string nominal = size.given_unknown ? "?" : size.nominal;
    return size.kind + (size.kind.empty() ? "" : " ") + nominal;
}

void CaseCells::value(const Quantity& quantity, Dimension dimension) {
    if (!quantity.known()) {
        json_.text("?");
        return;
    }
    const double number = tidy_number(to_units(quantity.value, dimension, system_.units));
    if (!(quantity.deviation > 0)) {
        json_.number(number);
        return;
    }
    // The spread is two standard deviations; a difference, so that a unit with a zero of its own does not
    // matter.
    const double spread =
        tidy_number(to_units(quantity.value + 2 * quantity.deviation, dimension, system_.units) -
                    to_units(quantity.value, dimension, system_.units));
    const std::string_view unit = unit_word(dimension, system_.units);
    json_.text(
        fmt::format("{} +- {}{}{}", shortest(number), shortest(spread), unit.empty() ? "" : " ", unit));
}

void CaseCells::quantity(std::string_view key, const Quantity& quantity, Dimension dimension) {
    json_.key(key);
    value(quantity, dimension);
}

void CaseCells::optional(std::string_view key, const model::OptionalQuantity& given, Dimension dimension) {
    if (given) quantity(key, *given, dimension);
}

void CaseCells::chart(const std::vector<model::ChartRow>& rows, std::string_view at_key, Dimension of,
                      std::string_view value_key, Dimension its) {
    json_.key(at_key).begin_array();
    for (const model::ChartRow& row : rows) value(row.at, of);
    json_.end_array().key(value_key).begin_array();
    for (const model::ChartRow& row : rows) value(row.value, its);
    json_.end_array();
}

void CaseCells::loss(const model::Loss& loss, bool usually_lossless) {
    if (loss.generic) return;  // its size says it
    if (!loss.chart.empty()) {
        chart(loss.chart, "flow", Dimension::flow, "loss", Dimension::pressure);
        return;
    }
    switch (loss.kind) {
        case LossKind::cv:
            return quantity("cv", loss.coefficient, Dimension::none);
        case LossKind::kv:
            return quantity("kv", loss.coefficient, Dimension::none);
        case LossKind::k:
            quantity("k", loss.coefficient, Dimension::none);
            return quantity("bore", loss.bore, Dimension::bore);
        case LossKind::lossless:
        case LossKind::chart:
            break;
    }
    if (usually_lossless) return;
    quantity("k", {0, 0}, Dimension::none);
    quantity("bore", loss.bore.known() ? loss.bore : Quantity{0.0254, 0}, Dimension::bore);
}

void CaseCells::point(const model::Point& point) {
    optional("elev", point.elevation, Dimension::length);
    if (point.note) json_.text("note", *point.note);
}

void CaseCells::supply(const model::Supply& supply) {
    quantity("static", supply.static_pressure, Dimension::pressure);
    if (!supply.tests.empty()) chart(supply.tests, "flow", Dimension::flow, "residual", Dimension::pressure);
}

void CaseCells::device(const model::Device& device) {
    using model::DeviceType;
    if (device.type == DeviceType::pump)
        chart(device.rise, "flow", Dimension::flow, "rise", Dimension::pressure);
    else
        loss(device.loss, device.type == DeviceType::gate || device.type == DeviceType::check ||
                              device.type == DeviceType::regulator || device.type == DeviceType::master);
    if (!device.size.empty()) json_.text("size", device.size);
    optional("set", device.set, Dimension::pressure);
    json_.key("one_way").boolean(device.one_way);
    if (device.closed) json_.key("closed").boolean(true);
    optional("safe_flow", device.safe_flow, Dimension::flow);
}

void CaseCells::valve(const model::Valve& valve) {
    loss(valve.loss, false);
    if (!valve.size.empty()) json_.text("size", valve.size);
    optional("set", valve.set, Dimension::pressure);
    optional("stated_flow", valve.stated_flow, Dimension::flow);
    optional("stated_pressure", valve.stated_pressure, Dimension::pressure);
}

void CaseCells::head(const model::Head& head) {
    json_.text("nozzle", head.nozzle == model::none ? "?" : system_.nozzles[at(head.nozzle)].id);
    if (head.joint.kind == LossKind::cv) quantity("cv", head.joint.coefficient, Dimension::none);
    if (head.joint.kind == LossKind::kv) quantity("kv", head.joint.coefficient, Dimension::none);
    optional("set", head.set, Dimension::pressure);
    optional("arc", head.arc, Dimension::angle);
    optional("facing", head.facing, Dimension::angle);
    optional("at_least", head.at_least, Dimension::pressure);
    optional("stated_flow", head.stated_flow, Dimension::flow);
    optional("stated_pressure", head.stated_pressure, Dimension::pressure);
    if (head.valve == model::none) return;
    json_.key("own_valve").begin_object();
    valve(system_.valves[at(head.valve)]);
    json_.end_object();
}

void CaseCells::pipe(const model::Pipe& pipe) {
    const model::PipeSize& size = *pipe.size;
    json_.text("from", system_.point_id(pipe.from)).text("to", system_.point_id(pipe.to));
    quantity("length", pipe.length, Dimension::length);
    const std::string words = size_text(size);
    if (words.empty())
        quantity("bore", size.bore, Dimension::bore);
    else
        json_.text("size", words);
    const model::PipeKind* kind = model::find_kind(size.kind);
    const auto differs = [](const Quantity& own, double usual) {
        return !own.known() || own.deviation > 0 || own.value != usual;
    };
    const bool catalogued = kind != nullptr && !words.empty();
    if (!catalogued || differs(size.c, kind->c)) quantity("c", size.c, Dimension::none);
    if (!catalogued || differs(size.roughness, kind->roughness))
        quantity("roughness", size.roughness, Dimension::roughness);
    const model::PipeSize* usual = catalogued ? model::find_size(*kind, size.nominal) : nullptr;
    const bool rated = usual && usual->rating && size.rating && usual->rating->value == size.rating->value;
    if (!rated) optional("rating", size.rating, Dimension::pressure);
    if (!(pipe.k.value == 0)) quantity("k", pipe.k, Dimension::none);
    if (pipe.fittings > 0) quantity("fittings", {pipe.fittings, 0}, Dimension::share);
    if (pipe.closed) json_.key("closed").boolean(true);
}

void CaseCells::nozzle(const model::Nozzle& nozzle) {
    json_.text("id", nozzle.id);
    chart(nozzle.rows, "pressure", Dimension::pressure, "flow", Dimension::flow);
    if (!nozzle.radius.empty()) {
        json_.key("radius").begin_array();
        for (const Quantity& radius : nozzle.radius) value(radius, Dimension::length);
        json_.end_array();
    }
    if (nozzle.rows.size() == 1) json_.number("exponent", nozzle.exponent);
    optional("min", nozzle.min, Dimension::pressure);
    optional("design", nozzle.design, Dimension::pressure);
    optional("max", nozzle.max, Dimension::pressure);
    if (nozzle.shape.empty()) return;
    json_.key("shape").begin_array();
    for (const auto& [fraction, rate] : nozzle.shape)
        json_.begin_array().number(fraction).number(rate).end_array();
    json_.end_array();
}

void CaseCells::kind(const model::PipeSize& size) {
    json_.text("id", size.kind).text("size", size.nominal);
    quantity("bore", size.bore, Dimension::bore);
    if (!std::isnan(size.outside)) quantity("od", {size.outside, 0}, Dimension::bore);
    quantity("c", size.c, Dimension::none);
    quantity("roughness", size.roughness, Dimension::roughness);
    optional("rating", size.rating, Dimension::pressure);
    if (!std::isnan(size.modulus)) quantity("modulus", {size.modulus, 0}, Dimension::modulus);
}

}  // namespace evenhead::io
