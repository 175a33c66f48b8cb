// With w the weight of an element (tangents.hpp), an input t moves the pressure p at the head by the sum,
// over the elements whose law it belongs to, of
//     w (dd/dt at the flow at hand)                        where the element lies on its curve,
//     w dQ/dt                                              where its flow Q is given,
//     w dS/dt                                              where it holds its outlet at S,
// less w for a supply's static height and more w for the elevation of a nozzle, which stand beside the loss
// in the equations of those curves; and, where the head itself is meant, by what its own elevation (-1),
// swing joint (p = H - z - m q^2) and regulation (p = set) change beside that.
//
// At a fixed flow the losses are, with f friction and n minor loss of a pipe,
//     df/dL = f of 1 m,  df/dC = -1.852 f/C,  d(f+n)/dD = -(4.8704 f + 4 n)/D,  dn/dk = n of 1,
// (Hazen-Williams; Darcy-Weisbach by central differences of its law), d(cv) = -2 d/cv, and a chart that is
// stretched by a factor 1 + e loses e d more. A nozzle that passes 1 + e times as much needs the pressure of
// q/(1 + e): dp/de = -q dp/dq.
#include "solver/review/sensitivity.hpp"

#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/laws/chart.hpp"
#include "solver/laws/darcy_weisbach.hpp"
#include "solver/water.hpp"

namespace evenhead::solver {

using model::LossKind;
using Table = InputSubject::Table;

HeadDerivatives::HeadDerivatives(const model::System& system, const Network& network,
                                 const Tangents& tangents, Index head)
    : system_(system),
      net_(network),
      tangents_(tangents),
      head_(head),
      metres_per_pascal_(network.metres_per_pascal) {
    if (system.friction == model::FrictionLaw::darcy_weisbach)
        kinematic_viscosity_ = viscosity(system.temperature) / density(system.temperature);
    const std::vector<double> weights = tangents.weights(head);
    if (weights.empty()) return;
    weight_.assign(network.elements.size(), 0);
    for (std::size_t i = 0; i < weights.size(); ++i) weight_[at(tangents.elements()[i])] = weights[i];
}

bool HeadDerivatives::curve(int element) const {
    return tangents_.stance(element) == Stance::curve;
}

double HeadDerivatives::by(InputName input, const InputSubject& subject) const {
    if (empty()) return 0;
    const Index row = subject.row;
    const auto two_sided = [&](const auto& of, int element) {
        if (input == InputName::set) return of.set ? set(element) : 0.0;
        return loss(input, of.loss, element);
    };
    switch (subject.table) {
        case Table::supply:
            return supply(input, row);
        case Table::pipe:
            return pipe(input, row);
        case Table::device: {
            const int element = net_.first_device + row;
            if (input != InputName::rise) return two_sided(system_.devices[at(row)], element);
            return curve(element)
                       ? weight(element) * net_.elements[at(element)].law->loss(tangents_.flow(element)) /
                             metres_per_pascal_
                       : 0;
        }
        case Table::valve:
            return two_sided(system_.valves[at(row)], net_.first_valve + row);
        case Table::head:
            return head(input, row);
        case Table::nozzle:
            return nozzle(row);
        case Table::point:
            return elevation(row);
    }
    return 0;
}

double HeadDerivatives::supply(InputName input, Index row) const {
    // The losses of flow tests are straight in their drops: a difference of 1 m is exact.
    const model::Supply& of = system_.supplies[at(row)];
    double drop = 0;
    if (!of.tests.empty()) {
        Rows drops, more;
        for (const model::ChartRow& test : of.tests) {
            const double fall = (of.static_pressure.value - test.value.value) * metres_per_pascal_;
            drops.emplace_back(test.at.value, fall);
            more.emplace_back(test.at.value, fall + 1);
        }
        const double q = tangents_.flow(row);
        drop = FlowTests(more).loss(q) - FlowTests(drops).loss(q);
    }
    return weight(row) * (input == InputName::residual ? -drop : drop - 1);
}

double HeadDerivatives::by_supply(Index row) const {
    return empty() ? 0 : -weight(row);
}

namespace {

struct PipeLoss {
    double friction, minor;  // m
};

/// At the flow q, of so much length (fittings included).
PipeLoss pipe_loss(const model::System& system, const model::Pipe& pipe, double kinematic_viscosity,
                   double length, double bore, double roughness, double q) {
    const double square = std::abs(q) * q, m = minor_loss_resistance(pipe.k.value, bore);
    if (system.friction == model::FrictionLaw::hazen_williams)
        return {
            hazen_williams_resistance(length, pipe.size->c.value, bore) * std::pow(std::abs(q), 0.852) * q,
            m * square};
    if (!(length > 0)) return {0, m * square};
    return {DarcyWeisbach(length, bore, roughness, kinematic_viscosity, 0).loss(q), m * square};
}

}  // namespace

double HeadDerivatives::pipe(InputName input, Index row) const {
    const int element = net_.first_pipe + row;
    if (!curve(element)) return 0;
    const model::Pipe& of = system_.pipes[at(row)];
    const double q = tangents_.flow(element), share = 1 + of.fittings, length = of.length.value * share,
                 bore = of.size->bore.value, roughness = of.size->roughness.value;
    const auto loss = [&](double its_length, double its_bore, double its_roughness) {
        const PipeLoss at_flow =
            pipe_loss(system_, of, kinematic_viscosity_, its_length, its_bore, its_roughness, q);
        return at_flow.friction + at_flow.minor;
    };
    const auto difference = [&](double value, const auto& loss_with) {
        const double step = 1e-5 * value;
        return (loss_with(value + step) - loss_with(value - step)) / (2 * step);
    };
    const bool hazen_williams = system_.friction == model::FrictionLaw::hazen_williams;
    double change = 0;
    if (input == InputName::length) {
        change = pipe_loss(system_, of, kinematic_viscosity_, share, bore, roughness, q).friction;
    } else if (input == InputName::k) {
        change = minor_loss_resistance(1, bore) * std::abs(q) * q;
    } else if (input == InputName::c && hazen_williams) {
        const double c = of.size->c.value;
        change = -1.852 / c * pipe_loss(system_, of, 0, length, bore, roughness, q).friction;
    } else if (input == InputName::bore && hazen_williams) {
        const PipeLoss now = pipe_loss(system_, of, 0, length, bore, roughness, q);
        change = -(4.8704 * now.friction + 4 * now.minor) / bore;
    } else if (input == InputName::bore) {
        change = difference(bore, [&](double value) { return loss(length, value, roughness); });
    } else if (input == InputName::roughness && !hazen_williams && roughness > 0) {
        change = difference(roughness, [&](double value) { return loss(length, bore, value); });
    }
    return weight(element) * change / metres_per_pascal_;
}

double HeadDerivatives::by_other_size(Index row, const model::PipeSize& size) const {
    const int element = net_.first_pipe + row;
    if (empty() || !curve(element)) return 0;
    const model::Pipe& now = system_.pipes[at(row)];
    model::Pipe other = now;
    other.size = size;
    const auto loss = [&](const model::Pipe& of) {
        const PipeLoss at_flow =
            pipe_loss(system_, of, kinematic_viscosity_, of.length.value * (1 + of.fittings),
                      of.size->bore.value, of.size->roughness.value, tangents_.flow(element));
        return at_flow.friction + at_flow.minor;
    };
    return weight(element) * (loss(other) - loss(now)) / metres_per_pascal_;
}

double HeadDerivatives::loss(InputName input, const model::Loss& of, int element) const {
    if (!curve(element)) return 0;
    const double q = tangents_.flow(element), lost = net_.elements[at(element)].law->loss(q),
                 coefficient = of.coefficient.value;
    double change = 0;
    if (input == InputName::loss && of.kind == LossKind::chart) {
        change = lost;
    } else if ((input == InputName::cv && of.kind == LossKind::cv) ||
               (input == InputName::kv && of.kind == LossKind::kv)) {
        change = -2 * lost / coefficient;
    } else if (input == InputName::k && of.kind == LossKind::k) {
        change = minor_loss_resistance(1, of.bore.value) * std::abs(q) * q;
    } else if (input == InputName::bore && of.kind == LossKind::k) {
        change = -4 * lost / of.bore.value;
    }
    return weight(element) * change / metres_per_pascal_;
}

double HeadDerivatives::set(int element) const {
    return tangents_.stance(element) == Stance::holding ? weight(element) : 0;
}

double HeadDerivatives::head(InputName input, Index row) const {
    const int element = net_.first_head + row;
    const HeadLaw& law = *net_.head_laws[at(row)];
    const double q = tangents_.flow(element);
    if (!(q > 0)) return 0;
    const bool holds = law.set() && tangents_.stance(element) == Stance::upright && tangents_.holds(row);
    if (input == InputName::set) {
        if (!holds) return 0;
        return weight(element) * law.nozzle().flow_slope(*law.set()) + (row == head_ ? 1 : 0);
    }
    const model::Joint& joint = system_.heads[at(row)].joint;
    const LossKind kind = input == InputName::cv   ? LossKind::cv
                          : input == InputName::kv ? LossKind::kv
                                                   : LossKind::lossless;
    if (joint.kind != kind || kind == LossKind::lossless) return 0;
    const double change = -2 * law.joint_resistance() * q * q / joint.coefficient.value;
    const double by_law = curve(element) ? weight(element) * change : 0;
    return (by_law - (row == head_ && !holds ? change : 0)) / metres_per_pascal_;
}

// By a factor on its flow, over all heads that bear it.
double HeadDerivatives::nozzle(Index row) const {
    double sum = 0;
    for (const int element : tangents_.elements()) {
        if (element < net_.first_head) continue;
        const Index head = element - net_.first_head;
        if (system_.heads[at(head)].nozzle != row) continue;
        const HeadLaw& law = *net_.head_laws[at(head)];
        const double q = tangents_.flow(element);
        if (!(q > 0)) continue;
        if (!curve(element))
            sum += weight(element) * q;
        else if (!law.nozzle().constant_draw())
            sum -= weight(element) * q / law.nozzle().flow_slope(law.nozzle().pressures(q).low);
    }
    return sum / metres_per_pascal_;
}

double HeadDerivatives::elevation(Index row) const {
    const model::Point& point = system_.points[at(row)];
    double sum = 0;
    const auto held = [&](int element) {
        if (tangents_.stance(element) == Stance::holding) sum += weight(element);
    };
    switch (point.kind) {
        case model::PointKind::supply:
            sum -= weight(point.row);
            break;
        case model::PointKind::device:
            held(net_.first_device + point.row);
            break;
        case model::PointKind::valve:
            held(net_.first_valve + point.row);
            break;
        case model::PointKind::head: {
            const int element = net_.first_head + point.row;
            const Index valve = system_.heads[at(point.row)].valve;
            if (valve != model::none) held(net_.first_valve + valve);
            if (curve(element)) sum += weight(element);
            if (point.row == head_ && !tangents_.holds(point.row)) sum -= 1;
            break;
        }
        case model::PointKind::plain:
            break;
    }
    return sum / metres_per_pascal_;
}

double HeadDerivatives::by(const Input& input) const {
    using Kind = Input::Kind;
    const auto coefficient = [&](const model::Loss& of) {
        return of.kind == LossKind::cv   ? InputName::cv
               : of.kind == LossKind::kv ? InputName::kv
               : of.kind == LossKind::k  ? InputName::k
                                         : InputName::loss;
    };
    const auto one = [&](Index row) {
        switch (input.kind) {
            case Kind::supply_pressure:
                return by_supply(row);
            case Kind::pipe_c:
                return by(InputName::c, {Table::pipe, row});
            case Kind::pipe_roughness:
                return by(InputName::roughness, {Table::pipe, row});
            case Kind::pipe_bore:
                return by(InputName::bore, {Table::pipe, row});
            case Kind::pipe_length:
                return by(InputName::length, {Table::pipe, row});
            case Kind::pipe_loss:
                return by(InputName::k, {Table::pipe, row});
            case Kind::nozzle_flow:
                return by(InputName::nozzle_flow, {Table::nozzle, row});
            case Kind::joint:
                return by(coefficient(system_.heads[at(row)].joint), {Table::head, row});
            case Kind::device_loss:
                return by(coefficient(system_.devices[at(row)].loss), {Table::device, row});
            case Kind::valve_loss:
                return by(coefficient(system_.valves[at(row)].loss), {Table::valve, row});
            case Kind::device_set:
                return by(InputName::set, {Table::device, row});
            case Kind::valve_set:
                return by(InputName::set, {Table::valve, row});
            case Kind::head_set:
                return by(InputName::set, {Table::head, row});
            case Kind::elevation:
                return by(InputName::elevation, {Table::point, row});
        }
        return 0.0;
    };
    double sum = 0;
    for (const Index row : input.rows) sum += one(row);
    return sum;
}

}  // namespace evenhead::solver
