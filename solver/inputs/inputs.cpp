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

    // Pipes of one row of the case that say the same share one draw.
    void note_pipe(Kind kind, Index row, const Quantity& quantity) {
        if (!(quantity.deviation > 0) || !quantity.known()) return;
        const model::Place& place = system_.pipes[at(row)].place;
        const auto [seen, added] = pipe_inputs_.try_emplace(
            {kind, place.file, place.line, place.column, quantity.value, quantity.deviation}, inputs_.size());
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
    std::map<std::tuple<Kind, int, int, int, double, double>, std::size_t> pipe_inputs_;
};

/// How a change reaches a number.
enum class How { added, bounded, factor };

// Every number that an input stands for in one row that shares it.
template <class Visit>
void each_number(model::System& system, Input::Kind kind, Index row, const Visit& visit) {
    const auto chart = [&](std::vector<model::ChartRow>& rows, How how) {
        for (model::ChartRow& entry : rows) visit(entry.value, how);
    };
    const auto loss = [&](model::Loss& of) {
        if (of.kind == LossKind::chart) {
            chart(of.chart, How::factor);
        } else {
            visit(of.coefficient, How::bounded);
        }
    };
    switch (kind) {
        case Kind::supply_pressure:
            visit(system.supplies[at(row)].static_pressure, How::added);
            return chart(system.supplies[at(row)].tests, How::added);
        case Kind::pipe_c:
            return visit(system.pipes[at(row)].size.edit().c, How::bounded);
        case Kind::pipe_roughness:
            return visit(system.pipes[at(row)].size.edit().roughness, How::bounded);
        case Kind::pipe_bore:
            return visit(system.pipes[at(row)].size.edit().bore, How::bounded);
        case Kind::pipe_length:
            return visit(system.pipes[at(row)].length, How::bounded);
        case Kind::pipe_loss:
            return visit(system.pipes[at(row)].k, How::bounded);
        case Kind::nozzle_flow:
            return chart(system.nozzles[at(row)].rows, How::factor);
        case Kind::joint:
            return visit(system.heads[at(row)].joint.coefficient, How::bounded);
        case Kind::device_loss:
            return loss(system.devices[at(row)].loss);
        case Kind::valve_loss:
            return loss(system.valves[at(row)].loss);
        case Kind::device_set:
            return visit(*system.devices[at(row)].set, How::bounded);
        case Kind::valve_set:
            return visit(*system.valves[at(row)].set, How::bounded);
        case Kind::head_set:
            return visit(*system.heads[at(row)].set, How::bounded);
        case Kind::elevation:
            return visit(*system.points[at(row)].elevation, How::added);
    }
}

double changed(double value, double change, How how) {
    if (how == How::added) return value + change;
    if (how == How::factor) return value * std::max(1 + change, 1e-3);
    const double least = value > 0 ? value / 1000 : value + std::min(change, 0.0);
    return std::max(value + change, least);
}

}  // namespace

std::vector<Input> uncertain_inputs(const model::System& system) {
    return Gatherer(system).gather();
}

void change_input(model::System& system, const Input& input, double change) {
    for (const Index row : input.rows)
        each_number(system, input.kind, row,
                    [&](Quantity& number, How how) { number.value = changed(number.value, change, how); });
}

InputNumbers::InputNumbers(model::System& system, const std::vector<Input>& inputs) {
    for (const Input& input : inputs) {
        std::vector<Number>& numbers = numbers_.emplace_back();
        for (const Index row : input.rows)
            each_number(system, input.kind, row, [&](Quantity& number, How how) {
                numbers.push_back({&number.value, number.value, static_cast<int>(how)});
            });
    }
}

void InputNumbers::set(std::size_t input, double change) {
    for (const Number& number : numbers_[input])
        *number.value = changed(number.before, change, static_cast<How>(number.how));
}

void forget_spread(model::System& system, const Input& input) {
    for (const Index row : input.rows)
        each_number(system, input.kind, row, [](Quantity& number, How) { number.deviation = 0; });
}

}  // namespace evenhead::solver
