#include "solver/inputs/inputs.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

using model::LossKind;
using model::Quantity;
using Kind = Input::Kind;

class Gatherer {
  public:
    explicit Gatherer(const model::System& system) : system_(system) {}

    std::vector<Input> gather() {
        supplies();
        pipes();
        nozzles();
        heads();
        each(system_.devices, [&](Index row, const model::Device& of) {
            loss(Kind::device_loss, row, of.loss);
            if (of.set) note(Kind::device_set, row, *of.set);
        });
        each(system_.valves, [&](Index row, const model::Valve& of) {
            loss(Kind::valve_loss, row, of.loss);
            if (of.set) note(Kind::valve_set, row, *of.set);
        });
        each(system_.points, [&](Index row, const model::Point& of) {
            if (of.elevation) note(Kind::elevation, row, *of.elevation);
        });
        return std::move(inputs_);
    }

  private:
    template <class Rows, class Visit>
    static void each(const Rows& rows, const Visit& visit) {
        for (std::size_t i = 0; i < rows.size(); ++i) visit(static_cast<Index>(i), rows[i]);
    }

    void add(Kind kind, Index row, double value, double deviation) {
        if (deviation > 0 && !std::isnan(value)) inputs_.push_back({kind, {row}, value, deviation});
    }
    void note(Kind kind, Index row, const Quantity& quantity) {
        add(kind, row, quantity.value, quantity.deviation);
    }

    // Pipes of one line of the case that say the same share one draw.
    void note_pipe(Kind kind, Index row, const Quantity& quantity) {
        if (!(quantity.deviation > 0) || !quantity.known()) return;
        const model::Place& place = system_.pipes[at(row)].place;
        const auto [seen, added] = pipe_inputs_.try_emplace(
            {kind, place.file, place.line, quantity.value, quantity.deviation}, inputs_.size());
        if (added)
            note(kind, row, quantity);
        else
            inputs_[seen->second].rows.push_back(row);
    }

    void supplies() {
        each(system_.supplies, [&](Index row, const model::Supply& of) {
            double deviation = of.static_pressure.deviation;
            for (const model::ChartRow& test : of.tests)
                deviation = std::max(deviation, test.value.deviation);
            add(Kind::supply_pressure, row, of.static_pressure.value, deviation);
        });
    }

    void pipes() {
        each(system_.pipes, [&](Index row, const model::Pipe& of) {
            note_pipe(Kind::pipe_c, row, of.size->c);
            note_pipe(Kind::pipe_roughness, row, of.size->roughness);
            note_pipe(Kind::pipe_bore, row, of.size->bore);
            note_pipe(Kind::pipe_length, row, of.length);
            note_pipe(Kind::pipe_loss, row, of.k);
        });
    }

    void nozzles() {
        each(system_.nozzles, [&](Index row, const model::Nozzle& of) {
            double share = 0;
            for (const model::ChartRow& entry : of.rows)
                share = std::max(share, entry.value.deviation / entry.value.value);
            add(Kind::nozzle_flow, row, 1, share);
        });
    }

    void heads() {
        each(system_.heads, [&](Index row, const model::Head& of) {
            if (of.joint.kind == LossKind::cv || of.joint.kind == LossKind::kv)
                note(Kind::joint, row, of.joint.coefficient);
            if (of.set) note(Kind::head_set, row, *of.set);
        });
    }

    void loss(Kind kind, Index row, const model::Loss& of) {
        if (of.kind == LossKind::chart) {
            double share = 0;
            for (const model::ChartRow& entry : of.chart)
                if (entry.value.value > 0) share = std::max(share, entry.value.deviation / entry.value.value);
            add(kind, row, 1, share);
        } else if (of.kind != LossKind::lossless) {
            note(kind, row, of.coefficient);
        }
    }

    const model::System& system_;
    std::vector<Input> inputs_;
    std::map<std::tuple<Kind, int, int, double, double>, std::size_t> pipe_inputs_;
};

void move(Quantity& quantity, double change) {
    const double least = quantity.value > 0 ? quantity.value / 1000 : quantity.value + std::min(change, 0.0);
    quantity.value = std::max(quantity.value + change, least);
}

void change_loss(model::Loss& loss, double change) {
    if (loss.kind != LossKind::chart) {
        move(loss.coefficient, change);
        return;
    }
    for (model::ChartRow& row : loss.chart) row.value.value *= std::max(1 + change, 1e-3);
}

}  // namespace

std::vector<Input> uncertain_inputs(const model::System& system) {
    return Gatherer(system).gather();
}

void change_input(model::System& system, const Input& input, double change) {
    for (const Index row : input.rows) {
        switch (input.kind) {
            case Kind::supply_pressure:
                system.supplies[at(row)].static_pressure.value += change;
                for (model::ChartRow& test : system.supplies[at(row)].tests) test.value.value += change;
                break;
            case Kind::pipe_c:
                move(system.pipes[at(row)].size.edit().c, change);
                break;
            case Kind::pipe_roughness:
                move(system.pipes[at(row)].size.edit().roughness, change);
                break;
            case Kind::pipe_bore:
                move(system.pipes[at(row)].size.edit().bore, change);
                break;
            case Kind::pipe_length:
                move(system.pipes[at(row)].length, change);
                break;
            case Kind::pipe_loss:
                move(system.pipes[at(row)].k, change);
                break;
            case Kind::nozzle_flow:
                for (model::ChartRow& of : system.nozzles[at(row)].rows)
                    of.value.value *= std::max(1 + change, 1e-3);
                break;
            case Kind::joint:
                move(system.heads[at(row)].joint.coefficient, change);
                break;
            case Kind::device_loss:
                change_loss(system.devices[at(row)].loss, change);
                break;
            case Kind::valve_loss:
                change_loss(system.valves[at(row)].loss, change);
                break;
            case Kind::device_set:
                move(*system.devices[at(row)].set, change);
                break;
            case Kind::valve_set:
                move(*system.valves[at(row)].set, change);
                break;
            case Kind::head_set:
                move(*system.heads[at(row)].set, change);
                break;
            case Kind::elevation:
                system.points[at(row)].elevation->value += change;
                break;
        }
    }
}

void forget_spread(model::System& system, const Input& input) {
    const auto forget = [](std::vector<model::ChartRow>& rows) {
        for (model::ChartRow& row : rows) row.value.deviation = 0;
    };
    const auto forget_loss = [&](model::Loss& loss) {
        loss.coefficient.deviation = 0;
        forget(loss.chart);
    };
    for (const Index row : input.rows) {
        switch (input.kind) {
            case Kind::supply_pressure:
                system.supplies[at(row)].static_pressure.deviation = 0;
                forget(system.supplies[at(row)].tests);
                break;
            case Kind::pipe_c:
                system.pipes[at(row)].size.edit().c.deviation = 0;
                break;
            case Kind::pipe_roughness:
                system.pipes[at(row)].size.edit().roughness.deviation = 0;
                break;
            case Kind::pipe_bore:
                system.pipes[at(row)].size.edit().bore.deviation = 0;
                break;
            case Kind::pipe_length:
                system.pipes[at(row)].length.deviation = 0;
                break;
            case Kind::pipe_loss:
                system.pipes[at(row)].k.deviation = 0;
                break;
            case Kind::nozzle_flow:
                forget(system.nozzles[at(row)].rows);
                break;
            case Kind::joint:
                system.heads[at(row)].joint.coefficient.deviation = 0;
                break;
            case Kind::device_loss:
                forget_loss(system.devices[at(row)].loss);
                break;
            case Kind::valve_loss:
                forget_loss(system.valves[at(row)].loss);
                break;
            case Kind::device_set:
                system.devices[at(row)].set->deviation = 0;
                break;
            case Kind::valve_set:
                system.valves[at(row)].set->deviation = 0;
                break;
            case Kind::head_set:
                system.heads[at(row)].set->deviation = 0;
                break;
            case Kind::elevation:
                system.points[at(row)].elevation->deviation = 0;
                break;
        }
    }
}

}  // namespace evenhead::solver
