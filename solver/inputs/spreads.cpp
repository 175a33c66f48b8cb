#include "solver/inputs/spreads.hpp"

#include <algorithm>
#include <cmath>

namespace evenhead::solver {
namespace {

using model::LossKind;
using model::Quantity;
using model::SpreadKind;

class Spreading {
  public:
    Spreading(model::System& system, const model::Spreads& spreads) : system_(system), spreads_(spreads) {}

    void spread() {
        for (model::Supply& supply : system_.supplies) this->supply(supply);
        for (model::Pipe& pipe : system_.pipes) this->pipe(pipe);
        for (model::Nozzle& nozzle : system_.nozzles) chart(nozzle.rows, SpreadKind::nozzle);
        for (model::Head& head : system_.heads) {
            if (head.joint.kind != LossKind::lossless)
                number(head.joint.coefficient, SpreadKind::swing_joint);
            if (head.set) number(*head.set, SpreadKind::head_set);
        }
        for (model::Device& device : system_.devices) {
            loss(device.loss, SpreadKind::device_loss);
            if (device.set) number(*device.set, SpreadKind::device_set);
        }
        for (model::Valve& valve : system_.valves) {
            loss(valve.loss, SpreadKind::valve_loss);
            if (valve.set) number(*valve.set, SpreadKind::valve_set);
        }
        for (model::Point& point : system_.points)
            if (point.elevation) number(*point.elevation, SpreadKind::elevation);
    }

  private:
    double deviation(double value, SpreadKind kind) const {
        const model::Spread& spread = spreads_[kind];
        return spread.amount / 2 * (spread.share ? std::abs(value) : 1);
    }
    void number(Quantity& quantity, SpreadKind kind) const {
        if (quantity.deviation == 0 && quantity.known()) quantity.deviation = deviation(quantity.value, kind);
    }
    void chart(std::vector<model::ChartRow>& rows, SpreadKind kind) const {
        const bool given = std::any_of(rows.begin(), rows.end(),
                                       [](const model::ChartRow& row) { return row.value.deviation > 0; });
        if (!given)
            for (model::ChartRow& row : rows) number(row.value, kind);
    }
    void loss(model::Loss& of, SpreadKind kind) const {
        if (of.kind == LossKind::chart)
            chart(of.chart, kind);
        else if (of.kind != LossKind::lossless)
            number(of.coefficient, kind);
    }

    void supply(model::Supply& of) const {
        const bool given = std::any_of(of.tests.begin(), of.tests.end(),
                                       [](const model::ChartRow& test) { return test.value.deviation > 0; });
        if (!given && of.static_pressure.value > 0) number(of.static_pressure, SpreadKind::static_pressure);
    }

    void pipe(model::Pipe& of) const {
        const model::PipeSize& size = *of.size;
        const auto wants = [&](const Quantity& quantity, SpreadKind kind) {
            return quantity.deviation == 0 && quantity.known() && deviation(quantity.value, kind) > 0;
        };
        const bool hazen_williams = system_.friction == model::FrictionLaw::hazen_williams;
        const SpreadKind friction = hazen_williams ? SpreadKind::c : SpreadKind::roughness;
        const bool rough = wants(hazen_williams ? size.c : size.roughness, friction);
        if (rough || wants(size.bore, SpreadKind::bore)) {
            model::PipeSize& own = of.size.edit();
            number(own.bore, SpreadKind::bore);
            if (rough) number(hazen_williams ? own.c : own.roughness, friction);
        }
        number(of.length, SpreadKind::length);
        number(of.k, SpreadKind::k);
    }

    model::System& system_;
    const model::Spreads& spreads_;
};

}  // namespace

model::System with_spreads(model::System system, const model::Spreads& spreads) {
    Spreading(system, spreads).spread();
    return system;
}

}  // namespace evenhead::solver
