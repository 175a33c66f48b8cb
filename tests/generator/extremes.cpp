#include <algorithm>
#include <numeric>

#include "tests/generator/parts.hpp"

namespace evenhead::tests {

using namespace model;

const std::array<const char*, extreme_count> extreme_names{"tree",
                                                           "loops",
                                                           "grid",
                                                           "several supplies",
                                                           "equal supplies",
                                                           "pump",
                                                           "regulators in series",
                                                           "shared regulators",
                                                           "one-way element with back pressure",
                                                           "sprung element with back pressure",
                                                           "closed element",
                                                           "head above the supply",
                                                           "exponent 0",
                                                           "exponent 0.05",
                                                           "0.1 gpm and 100 gpm",
                                                           "1 ft beside 10,000 ft",
                                                           "bores from 0.1 to 48 in",
                                                           "lossless pipe",
                                                           "even ladder",
                                                           "no flow",
                                                           "isolated part",
                                                           "own valves"};

namespace {

bool has_ring(const System& s) {
    std::vector<std::size_t> root(s.points.size());
    std::iota(root.begin(), root.end(), std::size_t{0});
    const auto find = [&](Index point) {
        auto i = static_cast<std::size_t>(point);
        while (root[i] != i) i = root[i] = root[root[i]];
        return i;
    };
    bool ring = false;
    for (const Pipe& p : s.pipes) {
        const std::size_t a = find(p.from), b = find(p.to);
        ring = ring || a == b;
        root[a] = b;
    }
    return ring;
}

bool nearly(double value, double wanted) {
    return std::abs(value - wanted) <= 1e-9 * wanted;
}

bool short_beside_long(const System& s) {
    std::vector<int> ends(s.points.size(), 0);  // 1: of a pipe of 1 ft, 2: of 10,000 ft, 3: of both
    for (const Pipe& p : s.pipes) {
        const int kind = p.length.value > 0 && p.length.value <= foot * (1 + 1e-9) ? 1
                         : p.length.value >= 10000 * foot * (1 - 1e-9)             ? 2
                                                                                   : 0;
        at(ends, p.from) |= kind;
        at(ends, p.to) |= kind;
    }
    return std::any_of(ends.begin(), ends.end(), [](int kinds) { return kinds == 3; });
}

}  // namespace

void note_extremes(const System& s, Extremes& extremes) {
    const auto any = [](const auto& rows, const auto& condition) {
        return std::any_of(rows.begin(), rows.end(), condition);
    };
    const bool ring = has_ring(s);
    extremes.note(Extreme::loops, ring);
    extremes.note(Extreme::tree, !ring && s.supplies.size() == 1);
    extremes.note(Extreme::several_supplies, s.supplies.size() > 1);
    extremes.note(Extreme::pump, any(s.devices, [](const Device& d) { return d.type == DeviceType::pump; }));
    extremes.note(Extreme::closed, any(s.devices, [](const Device& d) { return d.closed; }) ||
                                       any(s.pipes, [](const Pipe& p) { return p.closed; }));
    double top = -1e9;
    for (const Supply& u : s.supplies)
        top = std::max(top,
                       at(s.points, u.point).elevation->value + u.static_pressure.value / (9.80665 * 1000));
    extremes.note(Extreme::heads_above_supply,
                  any(s.heads, [&](const Head& h) { return at(s.points, h.point).elevation->value > top; }));
    const auto has_head = [&](const auto& condition) {
        return any(s.heads, [&](const Head& h) { return condition(at(s.nozzles, h.nozzle)); });
    };
    extremes.note(Extreme::exponent_zero,
                  has_head([](const Nozzle& n) { return n.rows.size() == 1 && n.exponent == 0; }));
    extremes.note(Extreme::exponent_small,
                  has_head([](const Nozzle& n) { return n.rows.size() == 1 && n.exponent == 0.05; }));
    extremes.note(Extreme::flows_far_apart,
                  has_head([](const Nozzle& n) { return nearly(n.rows[0].value.value, 0.1 * gpm); }) &&
                      has_head([](const Nozzle& n) { return nearly(n.rows[0].value.value, 100 * gpm); }));
    extremes.note(Extreme::lengths_far_apart, short_beside_long(s));
    extremes.note(Extreme::bores_far_apart,
                  any(s.pipes, [](const Pipe& p) { return nearly(p.size->bore.value, 0.1 * inch); }) &&
                      any(s.pipes, [](const Pipe& p) { return nearly(p.size->bore.value, 48 * inch); }));
    extremes.note(Extreme::lossless,
                  any(s.pipes, [](const Pipe& p) { return p.length.value == 0 && p.k.value == 0; }));
}

}  // namespace evenhead::tests
