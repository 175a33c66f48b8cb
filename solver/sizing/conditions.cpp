#include "solver/sizing/conditions.hpp"

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

using model::Change;
using model::Quantity;

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

}  // namespace

void change_size(model::PipeSize& size, const model::Condition& condition) {
    if (condition.c) apply(size.c, *condition.c);
    const auto own = condition.c_by_kind.find(size.kind);
    if (own != condition.c_by_kind.end()) size.c = {own->second, 0};
}

model::System under_condition(const model::System& system, const model::Condition& condition) {
    model::System changed = system;
    if (condition.supply) {
        for (model::Supply& supply : changed.supplies) {
            apply(supply.static_pressure, *condition.supply);
            for (model::ChartRow& test : supply.tests) apply(test.value, *condition.supply);
        }
    }
    if (condition.nozzle)
        for (model::Nozzle& nozzle : changed.nozzles)
            for (model::ChartRow& row : nozzle.rows) apply(row.value, *condition.nozzle);
    if (condition.c || !condition.c_by_kind.empty())
        for (model::Pipe& pipe : changed.pipes) change_size(pipe.size.edit(), condition);
    if (condition.temperature) changed.temperature = *condition.temperature;
    for (const model::Index pipe : condition.closed_pipes) changed.pipes[at(pipe)].closed = true;
    for (const model::Index device : condition.closed_devices) changed.devices[at(device)].closed = true;
    for (const model::Index pump : condition.pumps_off) changed.devices[at(pump)].closed = true;
    return changed;
}

}  // namespace evenhead::solver
