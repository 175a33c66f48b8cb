#include "model/takeoff/items.hpp"

#include <algorithm>
#include <array>
#include <cstddef>

namespace evenhead::model {
namespace {

using enum TakeoffSection;

constexpr std::array<TakeoffKind, 42> kinds{{
    {"pipe", pipe, true},
    {"tee", fittings},
    {"reducing-tee", fittings},
    {"cross", fittings},
    {"reducing-cross", fittings},
    {"elbow-90", fittings},
    {"elbow-45", fittings},
    {"reducer", fittings},
    {"coupling", fittings},
    {"fusion-joint", fittings},
    {"transition", fittings},
    {"thread-adapter", fittings},
    {"cap", fittings},
    {"connection", fittings},
    {"head-tee", fittings},
    {"head-elbow", fittings},
    {"zone-valve", control},
    {"meter", control},
    {"backflow", control},
    {"filter", control},
    {"regulator", control},
    {"check", control},
    {"gate", control},
    {"pump", control},
    {"master", control},
    {"flow-sensor", control},
    {"quick-coupler", control},
    {"other", control},
    {"valve-box", control},
    {"large-valve-box", control},
    {"round-valve-box", control},
    {"head", heads},
    {"valve-in-head", heads},
    {"nozzle", heads},
    {"swing-joint", heads},
    {"riser", heads},
    {"valve-wire", wire, true},
    {"common-wire", wire, true},
    {"sensor-cable", wire, true},
    {"wire-connector", wire},
    {"mainline-trench", trench, true},
    {"lateral-trench", trench, true},
}};
static_assert(kinds.back().name == "lateral-trench" &&
              kinds.size() == static_cast<std::size_t>(TakeoffItem::lateral_trench) + 1);

}  // namespace

std::span<const TakeoffKind> takeoff_kinds() {
    return kinds;
}

const TakeoffKind& kind_of(TakeoffItem item) {
    return kinds[static_cast<std::size_t>(item)];
}

std::optional<TakeoffItem> find_item(std::string_view name) {
    const auto found =
        std::find_if(kinds.begin(), kinds.end(), [&](const TakeoffKind& kind) { return kind.name == name; });
    if (found == kinds.end()) return std::nullopt;
    return static_cast<TakeoffItem>(found - kinds.begin());
}

TakeoffItem item_of(DeviceType type) {
    // In the same order: from meter to other.
    return static_cast<TakeoffItem>(static_cast<int>(TakeoffItem::meter) + static_cast<int>(type));
}

}  // namespace evenhead::model
