#include "model/conditions.hpp"

#include <algorithm>
#include <utility>

#include "model/position.hpp"

namespace evenhead::model {
namespace {

void apply(Quantity& number, const Change& change) {
    if (change.how == Change::How::add) {
        number.value += change.value;
    } else if (change.how == Change::How::times) {
        number.value *= change.value;
        number.deviation *= change.value;
    } else {
        number = {change.value, 0};
    }
}

// A residual that would fall below 0 stays there: then the supply gives no more than that flow with any
// pressure.
void apply(Supply& supply, const Change& change) {
    if (!(supply.static_pressure.value > 0)) return;
    const auto apply_to = [&](Quantity& pressure) {
        apply(pressure, change);
        if (pressure.value < 0) pressure.value = 0;
    };
    apply_to(supply.static_pressure);
    for (ChartRow& test : supply.tests) apply_to(test.value);
}

}  // namespace

void change_size(PipeSize& size, const Condition& condition) {
    if (condition.c) apply(size.c, *condition.c);
    const auto own = condition.c_by_kind.find(size.kind);
    if (own != condition.c_by_kind.end()) size.c = {own->second, 0};
}

System under_condition(const System& system, const Condition& condition) {
    System changed = system;
    if (condition.supply)
        for (Supply& supply : changed.supplies) apply(supply, *condition.supply);
    if (condition.nozzle)
        for (Nozzle& nozzle : changed.nozzles)
            for (ChartRow& row : nozzle.rows) apply(row.value, *condition.nozzle);
    if (condition.c || !condition.c_by_kind.empty())
        for (Pipe& pipe : changed.pipes) change_size(pipe.size.edit(), condition);
    if (condition.temperature) changed.temperature = *condition.temperature;
    for (const Index pipe : condition.closed_pipes) changed.pipes[at(pipe)].closed = true;
    for (const Index device : condition.closed_devices) changed.devices[at(device)].closed = true;
    for (const Index pump : condition.pumps_off) changed.devices[at(pump)].closed = true;
    return changed;
}

Condition supply_change(std::string id, double change) {
    Condition condition;
    condition.id = std::move(id);
    condition.supply = Change{Change::How::add, change};
    return condition;
}

double usual_supply_drop(const System& system) {
    constexpr double psi = 6894.757293168361;
    return system.units == UnitSystem::us ? -10 * psi : -70e3;
}

bool has_supply_pressure(const System& system) {
    return std::any_of(system.supplies.begin(), system.supplies.end(),
                       [](const Supply& supply) { return supply.static_pressure.value > 0; });
}

}  // namespace evenhead::model
