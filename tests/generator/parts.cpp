#include "tests/generator/parts.hpp"

#include <algorithm>
#include <cmath>
#include <string>

namespace evenhead::tests {

using namespace model;

ChartRow row(double at, double value) {
    return ChartRow{Quantity{at, 0}, Quantity{value, 0}};
}

Traits::Traits(std::uint64_t seed, bool hostile) : random(seed ^ 0x5DEECE66DULL) {
    if (!hostile) return;
    even = random.chance(0.06);
    far_flows = random.chance(0.06);
    far_lengths = random.chance(0.06);
    far_bores = random.chance(0.06);
    exponent_zero = random.chance(0.06);
    exponent_small = random.chance(0.06);
    sky_heads = random.chance(0.06);
    series = random.chance(0.06);
    second_supply = random.chance(0.12);
    equal_supply = random.chance(0.05);
    booster = random.chance(0.04);
    own_valves = random.chance(0.05);
    lossless = random.chance(0.1);
    ample = random.chance(0.5);
    if (random.chance(0.06)) still = static_cast<Still>(1 + random.below(4));
    // Then no head may stand upstream of every valve.
    if (still == Still::no_run) even = far_flows = far_lengths = exponent_zero = exponent_small = false;
}

Parts::Parts(std::uint64_t seed, const GeneratorOptions& wanted)
    : random(seed), options(wanted), traits(seed, wanted.hostile) {}

Index Parts::pick(const std::vector<Index>& from) {
    return at(from, random.below(static_cast<int>(from.size())));
}

Index Parts::point(PointKind kind, Index row_index) {
    Point p;
    p.id = "p" + std::to_string(system().points.size());
    p.kind = kind;
    p.row = row_index;
    p.elevation = Quantity{random.between(-hills, hills) * random.uniform(), 0};
    if (traits.even) p.elevation->value = 0;
    system().points.push_back(p);
    return static_cast<Index>(system().points.size()) - 1;
}

double Parts::length() {
    if (options.hostile && random.chance(0.08))
        return random.chance(0.5) ? random.between(0.2, 1) * foot : random.between(3000, 10000) * foot;
    return random.log_between(3, 300) * foot;
}

double Parts::bore(double typical) {
    if (options.hostile && random.chance(0.03)) return random.log_between(0.1, 48) * inch;
    return typical * random.between(0.7, 1.6);
}

Index Parts::pipe(Index from, Index to, double typical_bore) {
    Pipe p;
    if (random.chance(0.15) && at(system().points, from).kind == PointKind::plain &&
        at(system().points, to).kind == PointKind::plain) {
        std::swap(from, to);
    }
    p.from = from;
    p.to = to;
    p.own_id = "pipe" + std::to_string(system().pipes.size());
    p.length = Quantity{random.chance(0.01) ? 0.0 : length(), 0};
    PipeSize& size = p.size.edit();
    size.bore = Quantity{bore(typical_bore), 0};
    size.c = Quantity{random.between(80, 155), 0};
    size.roughness = Quantity{random.log_between(1.5e-6, 3e-4), 0};
    size.material = Material::pvc;
    if (random.chance(0.2)) p.k = Quantity{random.between(0.1, 12), 0};
    if (p.length.value == 0) p.k = Quantity{random.between(0.1, 3), 0};
    if (random.chance(0.1)) p.fittings = random.between(0.02, 0.3);
    if (traits.even) {
        p.length.value = 30;
        size = {};
        size.bore.value = typical_bore;
        size.c.value = 150;
        size.roughness.value = 1.5e-6;
        size.material = Material::pvc;
        p.k.value = p.fittings = 0;
    }
    system().pipes.push_back(p);
    return static_cast<Index>(system().pipes.size()) - 1;
}

Loss Parts::loss(double flow_scale) {
    Loss l;
    switch (random.below(6)) {
        case 0:
            l.kind = LossKind::cv;
            l.coefficient = Quantity{random.between(0.5, 4) * flow_scale / gpm, 0};
            break;
        case 1:
            l.kind = LossKind::kv;
            l.coefficient = Quantity{random.between(0.4, 3) * flow_scale / gpm, 0};
            break;
        case 2:
            l.kind = LossKind::k;
            l.coefficient = Quantity{random.between(0.1, 20), 0};
            l.bore = Quantity{std::sqrt(flow_scale) * random.between(0.8, 2), 0};
            break;
        case 3:
            l.kind = LossKind::chart;
            l.chart.push_back(row(flow_scale, random.between(0.5, 8) * psi));
            if (random.chance(0.5)) {
                l.chart.insert(l.chart.begin(), row(0, random.between(0.1, 0.9) * l.chart[0].value.value));
            }
            break;
        default: {
            l.kind = LossKind::chart;
            double q = random.chance(0.4) ? 0 : 0.2 * flow_scale, d = random.between(0.1, 3) * psi;
            const int rows = 2 + random.below(4);
            for (int i = 0; i < rows; ++i) {
                l.chart.push_back(row(q, d));
                q += random.between(0.1, 0.8) * flow_scale;
                if (!random.chance(0.15)) d += random.between(0.1, 4) * psi;
            }
        }
    }
    return l;
}

Index Parts::device(DeviceType type) {
    Device d;
    d.type = type;
    d.point = point(PointKind::device, static_cast<Index>(system().devices.size()));
    system().devices.push_back(d);
    return d.point;
}

void Parts::nozzles() {
    const int count = 1 + random.below(4);
    for (int i = 0; i < count; ++i) {
        Nozzle n;
        n.id = "n" + std::to_string(i);
        double flow = random.between(0.5, 5) * gpm;
        if (options.hostile && random.chance(0.15)) flow = random.log_between(0.1, 100) * gpm;
        const double pressure = random.between(15, 60) * psi;
        n.rows.push_back(row(pressure, flow));
        if (random.chance(0.35)) {
            double p = pressure, q = flow;
            const int stretches = 1 + random.below(4);
            for (int stretch = 0; stretch < stretches; ++stretch) {
                const double ratio = random.between(1.1, 1.6);
                p *= ratio;
                if (!random.chance(0.1)) q *= std::pow(ratio, random.between(0.2, 0.7));
                n.rows.push_back(row(p, q));
            }
        } else if (random.chance(0.4)) {
            n.exponent = random.between(0.3, 1);
            if (options.hostile && random.chance(0.3)) n.exponent = random.chance(0.5) ? 0 : 0.05;
        }
        n.design = Quantity{pressure, 0};
        n.min = Quantity{0.6 * pressure, 0};
        system().nozzles.push_back(n);
    }
    const auto add = [&](double flow, double exponent) {
        Nozzle n;
        n.id = "n" + std::to_string(system().nozzles.size());
        const double pressure = traits.random.between(15, 60) * psi;
        n.rows.push_back(row(pressure, flow));
        n.exponent = exponent;
        n.design = Quantity{pressure, 0};
        n.min = Quantity{0.6 * pressure, 0};
        system().nozzles.push_back(n);
    };
    if (traits.exponent_zero) add(traits.random.between(0.5, 5) * gpm, 0);
    if (traits.exponent_small) add(traits.random.between(0.5, 5) * gpm, 0.05);
    if (traits.far_flows) {
        add(0.1 * gpm, 0.5);
        add(100 * gpm, 0.5);
    }
}

Index Parts::supply(double pressure, double flow) {
    Supply u;
    u.point = point(PointKind::supply, static_cast<Index>(system().supplies.size()));
    u.static_pressure = Quantity{pressure, 0};
    const int tests = random.below(4);
    double q = flow * random.between(0.5, 2), p = pressure;
    for (int i = 0; i < tests && i < 3; ++i) {
        p -= random.between(0.03, 0.2) * pressure + psi;
        u.tests.push_back(row(q, p));
        q *= random.between(1.2, 2);
    }
    system().supplies.push_back(u);
    return u.point;
}

Index Parts::head(double zone_bore, Index from) {
    Head h;
    h.nozzle = random.below(static_cast<int>(system().nozzles.size()));
    h.point = point(PointKind::head, static_cast<Index>(system().heads.size()));
    if (random.chance(0.3)) {
        h.joint.kind = random.chance(0.7) ? LossKind::cv : LossKind::kv;
        h.joint.coefficient =
            Quantity{at(system().nozzles, h.nozzle).rows[0].value.value / gpm * random.between(0.5, 3), 0};
    }
    if (random.chance(0.12)) h.set = Quantity{random.between(20, 45) * psi, 0};
    if (options.hostile && random.chance(0.03))
        at(system().points, h.point).elevation = Quantity{random.between(60, 300), 0};
    system().heads.push_back(h);
    pipe(from, h.point, zone_bore);
    // Nothing is lost on the way to a head: no ring of such pipes can come about.
    if (traits.lossless && traits.random.chance(0.3)) {
        system().pipes.back().length.value = 0;
        system().pipes.back().k.value = 0;
    }
    return h.point;
}

Index Parts::valve(double flow) {
    Valve v;
    v.point = point(PointKind::valve, static_cast<Index>(system().valves.size()));
    v.loss = random.chance(0.1) ? Loss{} : loss(flow);
    if (random.chance(0.2)) v.set = Quantity{random.between(20, 60) * psi, 0};
    system().valves.push_back(v);
    return v.point;
}

Index Parts::pump(double flow) {
    const Index made = device(DeviceType::pump);
    as_pump(flow);
    return made;
}

void Parts::as_pump(double flow) {
    Device& made = last_device();
    made.one_way = true;
    double rise = random.between(20, 80) * psi, q = random.chance(0.5) ? 0 : 0.3 * flow;
    const int rows = 2 + random.below(3);
    for (int i = 0; i < rows; ++i) {
        made.rise.push_back(row(q, rise));
        q += random.between(0.2, 1) * flow;
        rise -= random.between(0, 0.3) * rise;
    }
}

Index Parts::regulator(double low, double high, double flow) {
    const Index made = device(DeviceType::regulator);
    as_regulator(low, high, flow);
    return made;
}

void Parts::as_regulator(double low, double high, double flow) {
    Device& made = last_device();
    made.one_way = true;
    if (random.chance(0.5)) made.loss = loss(flow);
    made.set = Quantity{random.between(low, high) * psi, 0};
}

Index Parts::spring(double flow) {
    const Index made = device(DeviceType::backflow);
    last_device().one_way = true;
    last_device().loss.kind = LossKind::chart;
    const double opening = random.between(1, 12) * psi;
    last_device().loss.chart = {row(0, opening), row(flow, opening + 3 * psi)};
    return made;
}

}  // namespace evenhead::tests
