// What a take-off counts: every item with its name, the part of the list that it stands in, and how it is
// sold.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "model/system.hpp"

namespace evenhead::model {

enum class TakeoffSection { pipe, fittings, control, heads, wire, trench };
inline constexpr int takeoff_sections = 6;

/// In the order of the list.
enum class TakeoffItem {
    pipe,
    tee,
    reducing_tee,
    cross,
    reducing_cross,
    elbow_90,
    elbow_45,
    reducer,
    coupling,
    fusion_joint,
    transition,      ///< from one family of fittings to another
    thread_adapter,  ///< from pipe to the thread of a valve or device
    cap,
    connection,  ///< of the pipe to a supply
    head_tee,    ///< with a threaded outlet to a head
    head_elbow,
    zone_valve,
    meter,
    backflow,
    filter,
    regulator,
    check,
    gate,
    pump,
    master,
    flow_sensor,
    quick_coupler,
    other,
    valve_box,
    large_valve_box,
    round_valve_box,
    head,
    valve_in_head,
    nozzle,
    swing_joint,
    riser,
    valve_wire,
    common_wire,
    sensor_cable,
    wire_connector,
    mainline_trench,
    lateral_trench,
};

struct TakeoffKind {
    std::string_view name;  ///< `reducing-tee`: for prices, JSON and CSV
    TakeoffSection section;
    bool by_length = false;  ///< sold by the metre; else each
};

/// By TakeoffItem.
std::span<const TakeoffKind> takeoff_kinds();
const TakeoffKind& kind_of(TakeoffItem item);
std::optional<TakeoffItem> find_item(std::string_view name);
TakeoffItem item_of(DeviceType type);

}  // namespace evenhead::model
