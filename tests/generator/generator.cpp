#include "tests/generator/generator.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace evenhead::tests {
namespace {

using namespace model;

constexpr double psi = 6894.757293168361, gpm = 6.30901964e-5, foot = 0.3048, inch = 0.0254;

ChartRow row(double at, double value) {
    return ChartRow{Quantity{at, 0}, Quantity{value, 0}};
}

// splitmix64: the same numbers with every compiler and library.
class Random {
  public:
    explicit Random(std::uint64_t seed) : state_(seed * 0x9E3779B97F4A7C15ULL + 0x1234567ULL) {}
    double uniform() { return static_cast<double>(next() >> 11) * 0x1p-53; }
    double between(double low, double high) { return low + (high - low) * uniform(); }
    double log_between(double low, double high) { return low * std::pow(high / low, uniform()); }
    int below(int count) { return static_cast<int>(uniform() * count); }
    bool chance(double p) { return uniform() < p; }

  private:
    std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31);
    }
    std::uint64_t state_;
};

class Maker {
  public:
    Maker(std::uint64_t seed, const GeneratorOptions& options) : random_(seed), options_(options) {}

    Generated make() {
        System& s = out_.system;
        s.title = "generated";
        s.files = {"generated"};
        s.ground = Quantity{0, 0};
        s.friction = random_.chance(0.25) ? FrictionLaw::darcy_weisbach : FrictionLaw::hazen_williams;
        hills_ = options_.hostile && random_.chance(0.2) ? 150 : 8;
        const double low = options_.least_heads, high = options_.most_heads;
        int heads =
            std::max(options_.least_heads,
                     static_cast<int>(low > 0 && high > low ? random_.log_between(low, high + 1) : low));
        heads = std::min(heads, options_.most_heads);
        make_nozzles();
        const Index start = make_supply();
        std::vector<Index> mains = make_main(start, heads);
        make_zones(mains, heads);
        if (options_.hostile && random_.chance(0.1)) make_isolated_part();
        if (options_.hostile && random_.chance(0.12)) add_shared_regulators(mains);
        make_runs();
        note_ranges();
        out_.layout = find_layout(s);
        return std::move(out_);
    }

  private:
    Index point(PointKind kind = PointKind::plain, Index row = none) {
        System& s = out_.system;
        Point p;
        p.id = "p" + std::to_string(s.points.size());
        p.kind = kind;
        p.row = row;
        p.elevation = Quantity{random_.between(-hills_, hills_) * random_.uniform(), 0};
        s.points.push_back(p);
        return static_cast<Index>(s.points.size()) - 1;
    }

    double length() {
        if (options_.hostile && random_.chance(0.08))
            return random_.chance(0.5) ? random_.between(0.2, 1) * foot : random_.between(3000, 10000) * foot;
        return random_.log_between(3, 300) * foot;
    }

    double bore(double typical) {
        if (options_.hostile && random_.chance(0.03)) return random_.log_between(0.1, 48) * inch;
        return typical * random_.between(0.7, 1.6);
    }

    Index pipe(Index from, Index to, double typical_bore) {
        System& s = out_.system;
        Pipe p;
        if (random_.chance(0.15) && s.points[static_cast<std::size_t>(from)].kind == PointKind::plain &&
            s.points[static_cast<std::size_t>(to)].kind == PointKind::plain) {
            std::swap(from, to);
        }
        p.from = from;
        p.to = to;
        p.id = "pipe" + std::to_string(s.pipes.size());
        p.length = Quantity{random_.chance(0.01) ? 0.0 : length(), 0};
        p.size.bore = Quantity{bore(typical_bore), 0};
        p.size.c = Quantity{random_.between(80, 155), 0};
        p.size.roughness = Quantity{random_.log_between(1.5e-6, 3e-4), 0};
        p.size.material = Material::pvc;
        if (random_.chance(0.2)) p.k = Quantity{random_.between(0.1, 12), 0};
        if (p.length.value == 0) p.k = Quantity{random_.between(0.1, 3), 0};
        if (random_.chance(0.1)) p.fittings = random_.between(0.02, 0.3);
        s.pipes.push_back(p);
        return static_cast<Index>(s.pipes.size()) - 1;
    }

    Loss loss(double flow_scale) {
        Loss l;
        switch (random_.below(6)) {
            case 0:
                l.kind = LossKind::cv;
                l.coefficient = Quantity{random_.between(0.5, 4) * flow_scale / gpm, 0};
                break;
            case 1:
                l.kind = LossKind::kv;
                l.coefficient = Quantity{random_.between(0.4, 3) * flow_scale / gpm, 0};
                break;
            case 2:
                l.kind = LossKind::k;
                l.coefficient = Quantity{random_.between(0.1, 20), 0};
                l.bore = Quantity{std::sqrt(flow_scale) * random_.between(0.8, 2), 0};
                break;
            case 3:
                l.kind = LossKind::chart;
                l.chart.push_back(row(flow_scale, random_.between(0.5, 8) * psi));
                if (random_.chance(0.5)) {
                    l.chart.insert(l.chart.begin(),
                                   row(0, random_.between(0.1, 0.9) * l.chart[0].value.value));
                }
                break;
            default: {
                l.kind = LossKind::chart;
                double q = random_.chance(0.4) ? 0 : 0.2 * flow_scale, d = random_.between(0.1, 3) * psi;
                const int rows = 2 + random_.below(4);
                for (int i = 0; i < rows; ++i) {
                    l.chart.push_back(row(q, d));
                    q += random_.between(0.1, 0.8) * flow_scale;
                    if (!random_.chance(0.15)) d += random_.between(0.1, 4) * psi;
                }
            }
        }
        return l;
    }

    Index device(DeviceType type) {
        System& s = out_.system;
        Device d;
        d.type = type;
        d.point = point(PointKind::device, static_cast<Index>(s.devices.size()));
        s.devices.push_back(d);
        return d.point;
    }
    Device& last_device() { return out_.system.devices.back(); }

    void make_nozzles() {
        const int count = 1 + random_.below(4);
        for (int i = 0; i < count; ++i) {
            Nozzle n;
            n.id = "n" + std::to_string(i);
            double flow = random_.between(0.5, 5) * gpm;
            if (options_.hostile && random_.chance(0.15)) flow = random_.log_between(0.1, 100) * gpm;
            const double pressure = random_.between(15, 60) * psi;
            n.rows.push_back(row(pressure, flow));
            if (random_.chance(0.35)) {
                double p = pressure, q = flow;
                const int stretches = 1 + random_.below(4);
                for (int stretch = 0; stretch < stretches; ++stretch) {
                    const double ratio = random_.between(1.1, 1.6);
                    p *= ratio;
                    if (!random_.chance(0.1)) q *= std::pow(ratio, random_.between(0.2, 0.7));
                    n.rows.push_back(row(p, q));
                }
            } else if (random_.chance(0.4)) {
                n.exponent = random_.between(0.3, 1);
                if (options_.hostile && random_.chance(0.3)) n.exponent = random_.chance(0.5) ? 0 : 0.05;
            }
            n.design = Quantity{pressure, 0};
            n.min = Quantity{0.6 * pressure, 0};
            out_.system.nozzles.push_back(n);
        }
    }

    Index supply(double pressure, double flow) {
        System& s = out_.system;
        Supply u;
        u.point = point(PointKind::supply, static_cast<Index>(s.supplies.size()));
        u.static_pressure = Quantity{pressure, 0};
        const int tests = random_.below(4);
        double q = flow * random_.between(0.5, 2), p = pressure;
        for (int i = 0; i < tests && i < 3; ++i) {
            p -= random_.between(0.03, 0.2) * pressure + psi;
            u.tests.push_back(row(q, p));
            q *= random_.between(1.2, 2);
        }
        s.supplies.push_back(u);
        return u.point;
    }

    // Supply, meter, backflow, perhaps pump, regulator, filter, gates; returns where the main begins.
    Index make_supply() {
        flow_ = 0;
        for (const Nozzle& n : out_.system.nozzles) flow_ = std::max(flow_, n.rows[0].value.value);
        flow_ *= 6;
        double pressure = random_.between(25, 110) * psi;
        if (options_.hostile && random_.chance(0.05)) {
            pressure = random_.between(0, 4) * psi;
        }
        main_bore_ = std::sqrt(flow_ / 1.5);
        Index last = supply(pressure, flow_);
        const auto chain = [&](Index next) {
            pipe(last, next, main_bore_);
            last = next;
        };
        if (random_.chance(0.5)) {
            chain(device(DeviceType::meter));
            last_device().loss = loss(flow_);
        }
        if (random_.chance(0.6)) {
            chain(device(DeviceType::backflow));
            last_device().loss = loss(flow_);
            last_device().one_way = true;
            out_.extremes.one_way = true;
        }
        if (random_.chance(0.25)) {
            chain(device(DeviceType::pump));
            Device& pump = last_device();
            pump.one_way = true;
            double rise = random_.between(20, 80) * psi, q = random_.chance(0.5) ? 0 : 0.3 * flow_;
            const int rows = 2 + random_.below(3);
            for (int i = 0; i < rows; ++i) {
                pump.rise.push_back(row(q, rise));
                q += random_.between(0.2, 1) * flow_;
                rise -= random_.between(0, 0.3) * rise;
            }
            out_.extremes.pump = true;
        }
        int regulators = 0;
        while (random_.chance(regulators == 0 ? 0.25 : 0.4) && regulators < 3) {
            chain(device(DeviceType::regulator));
            if (random_.chance(0.5)) last_device().loss = loss(flow_);
            last_device().set = Quantity{random_.between(20, 80) * psi, 0};
            last_device().one_way = true;
            ++regulators;
        }
        series_ = regulators;
        if (random_.chance(0.3)) {
            chain(device(DeviceType::gate));
            if (options_.hostile && random_.chance(0.05)) {
                last_device().closed = true;
                out_.extremes.closed = true;
            }
        }
        return last;
    }

    std::vector<Index> make_main(Index start, int heads) {
        std::vector<Index> mains{start};
        const int count = std::max(1, heads / 8 + random_.below(4));
        const bool grid = count >= 6 && random_.chance(0.2);
        const int width = std::max(2, static_cast<int>(std::sqrt(count)));
        for (int i = 0; i < count; ++i) {
            const Index next = point();
            const Index from = i == 0 ? start
                               : grid ? mains[mains.size() - 1]
                                      : mains[static_cast<std::size_t>(std::max(
                                            1, static_cast<int>(mains.size()) - 1 - random_.below(3)))];
            pipe(i == 0 ? start : from, next, main_bore_);
            mains.push_back(next);
            if (grid && i >= width) {
                pipe(mains[mains.size() - 1 - static_cast<std::size_t>(width)], next, main_bore_);
                out_.extremes.grid = out_.extremes.loops = true;
            }
        }
        mains.erase(mains.begin());
        if (!grid && mains.size() > 2) {
            const int closures =
                random_.chance(0.6) ? 1 + random_.below(1 + static_cast<int>(mains.size()) / 6) : 0;
            for (int i = 0; i < closures; ++i) {
                const Index a = pick(mains), b = pick(mains);
                if (a == b) continue;
                out_.extremes.loops = true;
                if (random_.chance(0.25)) {
                    link_through_device(a, b);
                } else {
                    pipe(a, b, main_bore_);
                    if (options_.hostile && random_.chance(0.08)) {
                        out_.system.pipes.back().closed = true;
                        out_.extremes.closed = true;
                    }
                }
            }
        }
        while (random_.chance(0.15)) {
            const Index other = supply(random_.between(25, 110) * psi, flow_);
            pipe(other, pick(mains), main_bore_);
            out_.extremes.several_supplies = true;
        }
        return mains;
    }

    Index pick(const std::vector<Index>& from) {
        return from[static_cast<std::size_t>(random_.below(static_cast<int>(from.size())))];
    }

    // A gate, check or sprung element across a loop of the main.
    void link_through_device(Index a, Index b) {
        const int kind = random_.below(3);
        const Index d = device(kind == 0   ? DeviceType::gate
                               : kind == 1 ? DeviceType::check
                                           : DeviceType::backflow);
        Device& of = last_device();
        if (kind > 0) {
            of.one_way = true;
            out_.extremes.one_way = true;
        }
        if (kind == 2) {
            of.loss.kind = LossKind::chart;
            const double spring = random_.between(1, 12) * psi;
            of.loss.chart = {row(0, spring), row(flow_, spring + 3 * psi)};
            out_.extremes.sprung_with_back_pressure = true;
        }
        if (random_.chance(0.1)) {
            of.closed = true;
            out_.extremes.closed = true;
        }
        pipe(a, d, main_bore_);
        pipe(d, b, main_bore_);
    }

    Index head(double zone_bore, Index from) {
        System& s = out_.system;
        Head h;
        h.nozzle = random_.below(static_cast<int>(s.nozzles.size()));
        h.point = point(PointKind::head, static_cast<Index>(s.heads.size()));
        if (random_.chance(0.3)) {
            h.joint.kind = random_.chance(0.7) ? LossKind::cv : LossKind::kv;
            h.joint.coefficient = Quantity{s.nozzles[static_cast<std::size_t>(h.nozzle)].rows[0].value.value /
                                               gpm * random_.between(0.5, 3),
                                           0};
        }
        if (random_.chance(0.12)) h.set = Quantity{random_.between(20, 45) * psi, 0};
        if (options_.hostile && random_.chance(0.03)) {
            s.points[static_cast<std::size_t>(h.point)].elevation = Quantity{random_.between(60, 300), 0};
            out_.extremes.heads_above_supply = true;
        }
        s.heads.push_back(h);
        pipe(from, h.point, zone_bore);
        return h.point;
    }

    void make_zones(const std::vector<Index>& mains, int heads) {
        System& s = out_.system;
        int left = heads;
        while (left > 0) {
            const int count = std::min(left, 1 + random_.below(20));
            left -= count;
            const Index at_main = pick(mains);
            const bool valved = !random_.chance(0.08);
            Index from = at_main;
            const double zone_bore = std::sqrt(flow_ / 3);
            if (valved) {
                Valve v;
                v.point = point(PointKind::valve, static_cast<Index>(s.valves.size()));
                v.loss = random_.chance(0.1) ? Loss{} : loss(flow_ / 2);
                if (random_.chance(0.2)) {
                    v.set = Quantity{random_.between(20, 60) * psi, 0};
                    if (series_ > 0) out_.extremes.regulators_in_series = true;
                }
                if (series_ > 1) out_.extremes.regulators_in_series = true;
                s.valves.push_back(v);
                pipe(at_main, v.point, zone_bore);
                from = v.point;
            }
            std::vector<Index> line{from};
            for (int i = 0; i < count; ++i) {
                const Index after = random_.chance(0.8) ? line.back() : pick(line);
                line.push_back(head(zone_bore, after));
            }
            line.erase(line.begin());
            if (line.size() > 3 && random_.chance(0.25)) {
                pipe(line.back(), line.front(), zone_bore);
                out_.extremes.loops = true;
            }
            if (random_.chance(0.1)) pipe(pick(line), point(), zone_bore);  // a dead end
        }
    }

    void make_isolated_part() {
        const Index a = point(), b = point();
        pipe(a, b, main_bore_);
        head(main_bore_, b);
        out_.extremes.isolated_part = true;
    }

    // Two regulators from the main into one part.
    void add_shared_regulators(const std::vector<Index>& mains) {
        if (mains.size() < 2) return;
        const Index tee = point();
        for (int i = 0; i < 2; ++i) {
            const Index from = pick(mains);
            const Index r = device(DeviceType::regulator);
            last_device().set = Quantity{random_.between(20, 60) * psi, 0};
            last_device().one_way = true;
            if (random_.chance(0.5)) last_device().loss = loss(flow_ / 2);
            pipe(from, r, main_bore_);
            pipe(r, tee, main_bore_);
        }
        head(std::sqrt(flow_ / 3), tee);
        out_.extremes.shared_regulators = true;
    }

    void make_runs() {
        System& s = out_.system;
        if (s.valves.empty()) {
            s.runs.push_back({"all", {}, false, {}});
            return;
        }
        Run run{"drawn", {}, true, {}};
        const bool all = random_.chance(0.3), nothing = options_.hostile && random_.chance(0.03);
        for (std::size_t v = 0; v < s.valves.size(); ++v) {
            if (!nothing && (all || random_.chance(0.4))) run.valves.push_back(static_cast<Index>(v));
        }
        if (run.valves.empty() && !nothing)
            run.valves.push_back(random_.below(static_cast<int>(s.valves.size())));
        if (nothing) out_.extremes.no_flow = true;
        s.runs.push_back(run);
    }

    void note_ranges() {
        const System& s = out_.system;
        double least = 1e9, most = 0, shortest = 1e9, longest = 0, thinnest = 1e9, widest = 0;
        for (const Head& h : s.heads) {
            const Nozzle& n = s.nozzles[static_cast<std::size_t>(h.nozzle)];
            least = std::min(least, n.rows[0].value.value);
            most = std::max(most, n.rows[0].value.value);
            if (n.rows.size() == 1 && n.exponent == 0) out_.extremes.exponent_zero = true;
            if (n.rows.size() == 1 && n.exponent == 0.05) out_.extremes.exponent_small = true;
        }
        for (const Pipe& p : s.pipes) {
            shortest = std::min(shortest, p.length.value);
            longest = std::max(longest, p.length.value);
            thinnest = std::min(thinnest, p.size.bore.value);
            widest = std::max(widest, p.size.bore.value);
        }
        out_.extremes.flows_far_apart = most > 50 * least;
        out_.extremes.lengths_far_apart = longest > 3000 * foot && shortest < foot;
        out_.extremes.bores_far_apart = widest > 20 * thinnest;
    }

    Random random_;
    GeneratorOptions options_;
    Generated out_;
    double hills_ = 8, flow_ = 0, main_bore_ = 0;
    int series_ = 0;
};

}  // namespace

Generated generate(std::uint64_t seed, const GeneratorOptions& options) {
    return Maker(seed, options).make();
}

}  // namespace evenhead::tests
