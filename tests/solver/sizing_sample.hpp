// Drawn tree zones to be sized: telescoping laterals with branches, and limits of every kind near to binding.
#pragma once

#include <random>
#include <string>
#include <vector>

#include "model/graph.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::test {

struct SizingSample {
    model::System system;
    model::Layout layout;
};

struct SizingSampleOptions {
    int heads = 6;
    int sizes = 4;           ///< of the kind
    int conditions = 0;      ///< 0 or 1: a lower supply
    bool main_open = false;  ///< also the pipe before the valve
    bool darcy_weisbach = false;
    bool velocity_by_material = false;  ///< every other size of the kind in another material
    bool spread_of_mean = false;
    bool short_draws = false;     ///< some heads draw a constant flow, and may get less of it
    bool constant_draws = false;  ///< all do, and get all of it, at no less than their pressure
};

/// street - (main) - valve - a tree of open pipes, each head at a point of its own.
inline SizingSample drawn_zone(unsigned seed, const SizingSampleOptions& options = {}) {
    std::mt19937 random(seed);
    const auto between = [&](double low, double high) {
        return low + (high - low) * static_cast<double>(random()) / 4294967296.0;
    };
    const auto chance = [&](double share) { return between(0, 1) < share; };
    constexpr double psi = 6894.757293168361, gpm = 6.30901964e-5, foot = 0.3048, inch = 0.0254;
    SystemBuilder build;
    const double at_supply = between(38, 70) * psi;
    model::Supply& supply = build.supply("street", at_supply);
    if (chance(0.7)) supply.tests = {{{30 * gpm, 0}, {at_supply - between(4, 20) * psi, 0}}};
    build.at("street").elevation = model::Quantity{0, 0};
    model::Valve& valve = build.valve("zone", between(8, 20));
    const bool regulated = chance(0.5);
    if (regulated) valve.set = model::Quantity{between(34, 46) * psi, 0};

    model::Nozzle& nozzle = build.system.nozzles.emplace_back();
    nozzle.id = "drawn";
    const double design = between(28, 40) * psi;
    if (chance(0.5)) {
        const double flow = between(0.8, 2.5) * gpm;
        nozzle.rows = {{{design * 0.7, 0}, {flow * 0.84, 0}},
                       {{design, 0}, {flow, 0}},
                       {{design * 1.4, 0}, {flow * 1.17, 0}}};
    } else {
        nozzle.rows = {{{design, 0}, {between(0.8, 2.5) * gpm, 0}}};
    }
    nozzle.min = model::Quantity{design * between(0.7, 0.9), 0};
    if (chance(0.8)) nozzle.design = model::Quantity{design, 0};
    nozzle.max = model::Quantity{design * (chance(0.4) ? between(1.02, 1.2) : 2.0), 0};

    // Sizes of a kind of the case's own.
    constexpr double bores[] = {0.62, 0.82, 1.05, 1.38, 1.61, 2.07};
    for (int i = 0; i < options.sizes; ++i) {
        model::CustomSize& made = build.system.kinds.emplace_back();
        made.size.kind = "p";
        made.size.nominal = std::to_string(i + 1);
        made.size.bore = model::Quantity{bores[i] * inch, 0};
        made.size.c = model::Quantity{150, 0};
        made.size.roughness = model::Quantity{1.5e-6, 0};
        if (options.velocity_by_material)
            made.size.material = i % 2 == 0 ? model::Material::pvc : model::Material::polyethylene;
        build.system.prices.push_back(
            {"",
             "p " + made.size.nominal,
             model::Quantity{(0.15 + 0.45 * bores[i] * between(0.9, 1.1)) / foot, 0},
             {}});
    }
    const auto open = [&](model::Pipe& pipe) {
        model::PipeSize& size = pipe.size.edit();
        size = build.system.kinds.front().size;
        size.nominal = "?";
        size.given_unknown = true;
        size.bore = {};
    };
    model::Pipe& main = build.pipe("street", "zone", between(20, 200) * foot, 1.38 * inch);
    main.size.edit().roughness = {1.5e-6, 0};
    if (options.main_open) open(main);
    std::vector<std::string> points{"zone"};
    for (int i = 0; i < options.heads; ++i) {
        const std::string id = "h" + std::to_string(i);
        model::Head& head = build.head(id);
        if (chance(0.3)) head.joint = {model::LossKind::cv, {between(3, 8), 0}};
        build.at(id).elevation = model::Quantity{between(-3, 3) * foot, 0};
        // Mostly on from the last, else a branch from somewhere.
        const std::size_t from =
            i == 0 || chance(0.65) ? points.size() - 1
                                   : static_cast<std::size_t>(between(1, static_cast<double>(points.size())));
        model::Pipe& pipe = build.pipe(points[from], id, between(8, 60) * foot);
        if (chance(0.3)) pipe.k = model::Quantity{between(0.2, 2), 0};
        open(pipe);
        points.push_back(id);
    }
    build.at("zone").elevation = model::Quantity{0, 0};
    build.system.limits["zone-spread"].value = model::Quantity{between(0.08, 0.3), 0};
    build.system.limits["velocity"].value = model::Quantity{between(4, 9) * foot, 0};
    if (chance(0.3)) build.system.limits["velocity"].off = true;
    if (options.velocity_by_material) {
        model::Limit& velocity = build.system.limits["velocity"];
        velocity.off = false;
        velocity.by_material[static_cast<std::size_t>(model::Material::pvc)] =
            model::Quantity{velocity.value->value * between(0.6, 1), 0};
        velocity.by_material[static_cast<std::size_t>(model::Material::polyethylene)] =
            model::Quantity{velocity.value->value * between(1.2, 2), 0};
    }
    if (options.spread_of_mean) build.system.limits["zone-spread"].base = model::Limit::Base::mean;
    if (options.short_draws || options.constant_draws) {
        model::Nozzle drip;
        drip.id = "drip";
        drip.rows = {{{design, 0}, {between(1, 4) * gpm, 0}}};
        drip.exponent = 0;
        if (options.constant_draws) drip.min = build.system.nozzles.front().min;
        build.system.nozzles.push_back(drip);
        const std::size_t every = options.constant_draws ? 1 : 2;
        for (std::size_t head = 0; head < build.system.heads.size(); head += every)
            build.system.heads[head].nozzle = 1;
        build.system.limits["short-flow"].off = options.short_draws;
    }
    build.system.limits["data-range"].off = true;
    if (options.darcy_weisbach) build.system.friction = model::FrictionLaw::darcy_weisbach;
    build.default_runs();
    if (options.conditions > 0) {
        model::Condition& low = build.system.conditions.emplace_back();
        low.id = "low";
        low.supply = model::Change{model::Change::How::add, -between(1, 4) * psi};
    }
    SizingSample sample{std::move(build.system), {}};
    sample.layout = model::find_layout(sample.system);
    return sample;
}

}  // namespace evenhead::test
