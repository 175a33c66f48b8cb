// Devices (meters, backflow assemblies, pumps ...) and zone control valves.
#include <fmt/format.h>

#include <algorithm>

#include "io/read/charts.hpp"
#include "io/read/points.hpp"

namespace evenhead::io {

using model::Device;
using model::DeviceType;
using model::Dimension;
using model::PointKind;
using model::Valve;

namespace {

constexpr std::string_view devices_keys[] = {"id",     "type",      "cv",   "kv",   "k",   "bore",
                                             "flow",   "loss",      "rise", "size", "set", "one_way",
                                             "closed", "safe_flow", "elev", "x",    "y",   "note"};
/// Those of a head's own valve come first: that valve has neither an id nor a place of its own.
constexpr std::string_view valves_keys[] = {"cv",   "kv",   "k",   "bore",        "flow",
                                            "loss", "size", "set", "stated_flow", "stated_pressure",
                                            "id",   "elev", "x",   "y",           "note"};
constexpr std::size_t own_valve_key_count = 10;

struct TypeWords {
    std::string_view word;
    DeviceType type;
    bool lossless, one_way;  ///< what holds where the case says nothing
};
constexpr TypeWords types[] = {
    {"meter", DeviceType::meter, false, false},
    {"backflow", DeviceType::backflow, false, true},
    {"filter", DeviceType::filter, false, false},
    {"regulator", DeviceType::regulator, true, true},
    {"check", DeviceType::check, true, true},
    {"gate", DeviceType::gate, true, false},
    {"pump", DeviceType::pump, false, true},
    {"master", DeviceType::master, true, false},
    {"flow-sensor", DeviceType::flow_sensor, false, false},
    {"quick-coupler", DeviceType::quick_coupler, false, false},
    {"other", DeviceType::other, false, false},
};

std::vector<std::string_view> type_words() {
    std::vector<std::string_view> words;
    for (const TypeWords& known : types) words.push_back(known.word);
    return words;
}

const TypeWords* read_type(const Fields& fields) {
    const Cell* cell = fields.find("type");
    if (!cell) {
        fields.missing("type", fmt::format("write one of {}", fmt::join(type_words(), " ")));
        return nullptr;
    }
    const auto found = std::find_if(std::begin(types), std::end(types),
                                    [&](const TypeWords& known) { return known.word == cell->text; });
    if (cell->kind == Cell::Kind::text && found != std::end(types)) return &*found;
    fields.error(*cell, fmt::format("{} is no type of device", shown("type", *cell)),
                 did_you_mean(model::nearest_name(cell->text, type_words()),
                              fmt::format("write one of {}", fmt::join(type_words(), " "))));
    return nullptr;
}

/// What the device does to the pressure, by its type.
void read_action(Fields& fields, const TypeWords& type, Device& device) {
    device.type = type.type;
    device.one_way = fields.flag("one_way", type.one_way);
    if (type.type == DeviceType::pump) {
        device.rise = read_rise(fields);
        return;
    }
    if (const Cell* rise = fields.own("rise"))
        fields.error(*rise, fmt::format("a {} has no rise", type.word), "only a pump lifts the pressure");
    device.loss = read_loss(fields, type.word, type.lossless);
    if (device.loss.kind == model::LossKind::lossless && !fields.has("k") && !fields.has("flow"))
        fields.reader().assume(fields.row(), "loss", 0, Dimension::pressure,
                               fmt::format("nothing says what the {} loses", type.word));
    if (type.type == DeviceType::regulator && !device.set)
        fields.warn(fields.place(), "a regulator without set regulates nothing",
                    "give the outlet pressure that it holds (\"?\" where nobody knows)");
}

void read_devices(CaseReader& reader) {
    reader.each_row("devices", [&](const Row& row) {
        Fields fields(reader, devices_table, row);
        const auto id = fields.id();
        Device device;
        device.set = fields.above_zero("set", Dimension::pressure);
        device.closed = fields.flag("closed", false);
        device.safe_flow = fields.above_zero("safe_flow", Dimension::flow);
        device.size = fields.text("size");
        device.loss.kind =
            model::LossKind::cv;  // until it is read: not known, which no graph takes for lossless
        if (const TypeWords* type = read_type(fields)) read_action(fields, *type, device);
        if (!id) return;
        device.point = reader.add_point(*id, PointKind::device, last(reader.system.devices) + 1, row.place);
        if (device.point == model::none) return;
        reader.system.devices.push_back(std::move(device));
        read_place(fields, reader.system.devices.back().point);
    });
}

void read_valves(CaseReader& reader) {
    reader.each_row("valves", [&](const Row& row) {
        Fields fields(reader, valves_table, row);
        const auto id = fields.id();
        Valve valve = read_valve(fields);
        if (!id) return;
        valve.point = reader.add_point(*id, PointKind::valve, last(reader.system.valves) + 1, row.place);
        if (valve.point == model::none) return;
        reader.system.valves.push_back(std::move(valve));
        read_place(fields, reader.system.valves.back().point);
    });
}

}  // namespace

Valve read_valve(Fields& fields) {
    if (const std::string id = fields.row(); id == "none" || id == "all")
        fields.error(fields.place(), fmt::format("{} is no id for a valve", quoted(id)),
                     "none and all are reserved for runs");
    Valve valve;
    valve.place = fields.place();
    valve.loss = read_loss(fields, "valve", false);
    valve.set = fields.above_zero("set", Dimension::pressure);
    valve.size = fields.text("size");
    valve.stated_flow = fields.zero_or_more("stated_flow", Dimension::flow);
    valve.stated_pressure = fields.quantity("stated_pressure", Dimension::pressure);
    return valve;
}

const TableReader devices_table{"devices", devices_keys, read_devices};
const TableReader valves_table{"valves", valves_keys, read_valves};
const TableReader own_valve_keys{"own_valve", std::span(valves_keys).first<own_valve_key_count>(), nullptr};

}  // namespace evenhead::io
