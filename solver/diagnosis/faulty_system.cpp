#include "solver/diagnosis/faulty_system.hpp"

#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/balance/balance.hpp"
#include "solver/laws/law.hpp"
#include "solver/water.hpp"

namespace evenhead::solver {
namespace {

using model::LossKind;
using model::none;
using model::PointKind;

constexpr double riser_velocity = 1.5;  // m/s, at nominal flow: what a head's screen is wide enough for

double joint_resistance(const model::Joint& joint) {
    if (joint.kind == LossKind::cv) return cv_resistance(joint.coefficient.value);
    if (joint.kind == LossKind::kv) return kv_resistance(joint.coefficient.value);
    return 0;
}
model::Joint joint_of(double resistance) {
    if (!(resistance > 0)) return {};
    return {LossKind::cv, {std::sqrt(cv_resistance(1) / resistance), 0}};
}

double nominal_flow(const model::Nozzle& nozzle) {
    return nozzle.rows[nozzle.rows.size() / 2].value.value;
}

model::Nozzle times(model::Nozzle nozzle, double factor) {
    for (model::ChartRow& row : nozzle.rows) row.value.value *= factor;
    return nozzle;
}

/// What a device, a valve or a head's body holds.
template <class System>
auto& held_pressure(System& system, const ElementRef& of) {
    switch (of.kind) {
        case ElementKind::device:
            return *system.devices[at(of.index)].set;
        case ElementKind::valve:
            return *system.valves[at(of.index)].set;
        default:
            return *system.heads[at(of.index)].set;
    }
}

}  // namespace

double blockage_coefficient(double closed) {
    const double open = 1 - closed, narrowed = 0.63 + 0.37 * open * open * open;
    const double ratio = 1 / (narrowed * open) - 1;
    return ratio * ratio;
}

FaultySystem::FaultySystem(const Survey& survey, const model::FaultPriors& priors,
                           std::span<const Site* const> faults, const Healthy* healthy)
    : survey_(survey),
      priors_(priors),
      system_(survey.part.system),
      layout_(survey.layout),
      gauges_(survey.gauges) {
    if (healthy == nullptr) return;  // nothing is planted
    for (const Site* site : faults) built_.push_back(build(*site, healthy));
    if (structure_changed_) {
        const std::vector<double> elevation = std::move(layout_.elevation);
        layout_ = model::find_layout(system_);
        std::copy(elevation.begin(), elevation.end(), layout_.elevation.begin());
    }
}

double FaultySystem::nominal_severity(std::size_t fault, double rank) const {
    const FaultKind kind = built_[fault].site->kind;
    if (kind == FaultKind::second_zone_on) return 1;
    return priors_[kind].severity(rank) * built_[fault].base;
}

// Everything that ran into `point` on its inlet side runs into a new point, and on through a pipe without
// length.
Index FaultySystem::add_point_before(Index point, std::span<const Index> inlets) {
    const auto before = static_cast<Index>(system_.points.size());
    model::Point added;
    added.id = system_.point_id(point) + " inlet";
    added.elevation = model::Quantity{layout_.elevation[at(point)], 0};
    system_.points.push_back(std::move(added));
    model::Pipe pipe = system_.pipes[at(inlets.front())];
    for (const Index inlet : inlets) {
        model::Pipe& moved = system_.pipes[at(inlet)];
        (moved.to == point ? moved.to : moved.from) = before;
    }
    pipe.own_id.reset();
    pipe.from = before;
    pipe.to = point;
    pipe.length = {0, 0};
    pipe.fittings = 0;
    pipe.k = {0, 0};
    pipe.closed = false;
    system_.pipes.push_back(std::move(pipe));
    for (Gauge& gauge : gauges_)
        if (gauge.point == point && !gauge.flow && gauge.side == model::Side::inlet) gauge.point = before;
    structure_changed_ = true;
    return static_cast<Index>(system_.pipes.size()) - 1;
}

// One more outlet at `point`: a head of its own behind a pipe without length.
Index FaultySystem::add_outlet(Index point, Index nozzle, const model::Joint& joint) {
    const auto outlet = static_cast<Index>(system_.points.size());
    model::Point added;
    added.id = system_.point_id(point) + " outlet";
    added.kind = PointKind::head;
    added.row = static_cast<Index>(system_.heads.size());
    added.elevation = model::Quantity{layout_.elevation[at(point)], 0};
    system_.points.push_back(std::move(added));
    model::Head head;
    head.point = outlet;
    head.nozzle = nozzle;
    head.joint = joint;
    system_.heads.push_back(std::move(head));
    model::Pipe pipe;
    pipe.from = point;
    pipe.to = outlet;
    pipe.length = {0, 0};
    model::PipeSize& size = pipe.size.edit();
    size.bore = {0.1, 0};
    size.c = {150, 0};
    size.roughness = {1.5e-6, 0};
    system_.pipes.push_back(std::move(pipe));
    structure_changed_ = true;
    return static_cast<Index>(system_.heads.size()) - 1;
}

Index FaultySystem::add_nozzle(const model::Nozzle& nozzle) {
    system_.nozzles.push_back(nozzle);
    return static_cast<Index>(system_.nozzles.size()) - 1;
}

FaultySystem::Built FaultySystem::build(const Site& site, const Healthy* healthy) {
    Built built{&site, none, 1};
    const model::FaultPrior& prior = priors_[site.kind];
    if (prior.base == model::FaultPrior::Base::of_flow) built.base = healthy->run_flow;
    switch (site.kind) {
        case FaultKind::blockage: {
            const bool device = site.at.kind == ElementKind::device;
            if (!device && site.at.kind != ElementKind::valve) break;
            const Index point =
                device ? system_.devices[at(site.at.index)].point : system_.valves[at(site.at.index)].point;
            const model::Sides& sides =
                (device ? layout_.device_sides : layout_.valve_sides)[at(site.at.index)];
            possible_ = !sides.inlet.empty();
            if (possible_) built.row = add_point_before(point, sides.inlet);
            break;
        }
        case FaultKind::leak: {
            const auto& result = healthy->results.front();
            const Index point = site.rows.front();
            const double pressure = result ? result->point_pressure[at(point)] : 0;
            possible_ = pressure > 0;
            if (!possible_) break;
            model::Nozzle hole;
            hole.id = "hole";
            hole.rows = {{{pressure, 0}, {1, 0}}};
            built.row = add_outlet(point, add_nozzle(hole), {});
            break;
        }
        case FaultKind::extra_heads: {
            const model::Head& head = system_.heads[at(site.at.index)];
            const model::Nozzle nozzle = system_.nozzles[at(head.nozzle)];
            const model::Joint joint = head.joint;
            const auto set = head.set;
            built.row = add_outlet(head.point, add_nozzle(nozzle), joint);
            system_.heads.back().set = set;
            break;
        }
        case FaultKind::low_supply:
            if (prior.base != model::FaultPrior::Base::of_static) break;
            built.base = survey_.part.system.supplies[at(site.at.index)].static_pressure.value;
            break;
        case FaultKind::regulator_low:
            if (prior.base != model::FaultPrior::Base::of_set) break;
            built.base = held_pressure(survey_.part.system, site.at).value;
            break;
        case FaultKind::second_zone_on:
            also_open_.push_back(site.at.index);
            break;
        default:
            break;
    }
    return built;
}

void FaultySystem::set_pipe(const Site& site, double severity) {
    for (const Index pipe : site.rows)
        system_.pipes[at(pipe)].size.edit().bore.value =
            survey_.part.system.pipes[at(pipe)].size->bore.value * (1 - severity);
}

void FaultySystem::set_nozzles(const Built& built, double factor) {
    for (const Index row : built.site->rows) {
        model::Head& head = system_.heads[at(row)];
        const Index own = survey_.part.system.heads[at(row)].nozzle;
        if (head.nozzle == own) head.nozzle = add_nozzle(system_.nozzles[at(own)]);
        // A nozzle that passes nothing at all is no nozzle: a trickle stands for it.
        system_.nozzles[at(head.nozzle)] =
            times(survey_.part.system.nozzles[at(own)], std::max(factor, 1e-4));
    }
}

void FaultySystem::lower(const Site& site, double pressure) {
    if (site.at.kind != ElementKind::supply) {
        held_pressure(system_, site.at).value = held_pressure(survey_.part.system, site.at).value - pressure;
        return;
    }
    const model::Supply& from = survey_.part.system.supplies[at(site.at.index)];
    model::Supply& to = system_.supplies[at(site.at.index)];
    to.static_pressure.value = from.static_pressure.value - pressure;
    for (std::size_t i = 0; i < from.tests.size(); ++i)
        to.tests[i].value.value = from.tests[i].value.value - pressure;
}

void FaultySystem::set(const Built& built, double severity) {
    const Site& site = *built.site;
    const model::System& healthy = survey_.part.system;
    switch (site.kind) {
        case FaultKind::blockage: {
            const double k = blockage_coefficient(severity);
            if (site.at.kind == ElementKind::pipe) {
                system_.pipes[at(site.at.index)].k.value = healthy.pipes[at(site.at.index)].k.value + k;
            } else if (site.at.kind == ElementKind::head) {
                const model::Head& head = healthy.heads[at(site.at.index)];
                const double area = nominal_flow(healthy.nozzles[at(head.nozzle)]) / riser_velocity;
                system_.heads[at(site.at.index)].joint =
                    joint_of(joint_resistance(head.joint) + k / (2 * gravity * area * area));
            } else {
                system_.pipes[at(built.row)].k.value = k;
            }
            break;
        }
        case FaultKind::narrow_run:
            set_pipe(site, severity);
            break;
        case FaultKind::leak:
            system_.nozzles[at(system_.heads[at(built.row)].nozzle)].rows.front().value.value = severity;
            break;
        case FaultKind::clogged_nozzle:
        case FaultKind::larger_nozzle:
        case FaultKind::missing_nozzle:
            set_nozzles(built, severity);
            break;
        case FaultKind::low_supply:
        case FaultKind::regulator_low:
            lower(site, severity);
            break;
        case FaultKind::extra_heads: {
            const model::Head& like = healthy.heads[at(site.at.index)];
            model::Head& head = system_.heads[at(built.row)];
            system_.nozzles[at(head.nozzle)] = times(healthy.nozzles[at(like.nozzle)], severity);
            head.joint = joint_of(joint_resistance(like.joint) / (severity * severity));
            break;
        }
        case FaultKind::higher_ground:
            for (const Index head : site.rows) {
                const Index point = healthy.heads[at(head)].point;
                layout_.elevation[at(point)] = survey_.layout.elevation[at(point)] + severity;
            }
            break;
        case FaultKind::gauge_off:
            gauge_shift_ = severity;
            break;
        case FaultKind::second_zone_on:
            break;
    }
}

FaultySystem::Answer FaultySystem::solve(std::span<const double> ranks,
                                         std::vector<std::optional<RunResult>>* keep) {
    Answer answer;
    for (std::size_t fault = 0; fault < built_.size(); ++fault) {
        answer.severities.push_back(nominal_severity(fault, ranks[fault]));
        set(built_[fault], answer.severities.back());
    }
    const Network network = build_network(system_, layout_);
    const Prepared prepared = prepare(network);
    Balancer balancer(system_, network, prepared);
    answer.shown.assign(gauges_.size(), 0);
    if (keep != nullptr) keep->assign(survey_.situations.size(), std::nullopt);
    RunResult result;
    for (std::size_t i = 0; i < survey_.situations.size(); ++i) {
        const Situation& situation = survey_.situations[i];
        const bool all_shut = situation.run == none;
        std::vector<Index> open = situation.open;
        for (const Index valve : also_open_)
            if (!all_shut && std::find(open.begin(), open.end(), valve) == open.end()) open.push_back(valve);
        if (all_shut) {
            model::System shut = system_;
            for (model::Device& device : shut.devices)
                if (device.type == model::DeviceType::master) device.closed = true;
            const Network still = build_network(shut, layout_);
            result = balance_run(shut, still, none, open);
            if (result.failure && result.failure->kind == "no-supply") result = balance_shut(shut, still);
            result.run = none;
        } else {
            balancer.balance(situation.run, open, result);
        }
        if (result.failure || !result.closure.solved) return answer;
        for (std::size_t gauge = 0; gauge < gauges_.size(); ++gauge) {
            if (gauges_[gauge].situation != i) continue;
            answer.shown[gauge] = shown(system_, result, gauges_[gauge]);
            if (gauges_[gauge].flow) continue;
            const double moved = answer.shown[gauge] + gauge_shift_;
            answer.shown[gauge] = moved < 0 ? 0 : moved;
        }
        if (i == 0)
            for (std::size_t fault = 0; fault < built_.size(); ++fault)
                if (built_[fault].site->kind == FaultKind::leak)
                    answer.severities[fault] = result.head_flow[at(built_[fault].row)];
        if (keep != nullptr) (*keep)[i] = result;
    }
    answer.solved = true;
    return answer;
}

Healthy FaultySystem::healthy(const Survey& survey, const model::FaultPriors& priors) {
    Healthy healthy;
    Answer answer = FaultySystem(survey, priors, {}, nullptr).solve({}, &healthy.results);
    healthy.shown = std::move(answer.shown);
    if (healthy.results.front()) healthy.run_flow = healthy.results.front()->flow;
    return healthy;
}

}  // namespace evenhead::solver
