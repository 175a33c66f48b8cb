#include "tests/generator/generator.hpp"

#include <algorithm>
#include <cmath>

#include "tests/generator/parts.hpp"

namespace evenhead::tests {
namespace {

using namespace model;

class Maker : Parts {
  public:
    Maker(std::uint64_t seed, const GeneratorOptions& wanted) : Parts(seed, wanted) {}

    Generated make() {
        System& s = system();
        s.title = "generated";
        s.files = {"generated"};
        s.ground = Quantity{0, 0};
        s.friction = random.chance(0.25) ? FrictionLaw::darcy_weisbach : FrictionLaw::hazen_williams;
        hills = options.hostile && random.chance(0.2) ? 150 : 8;
        const double low = options.least_heads, high = options.most_heads;
        int heads =
            std::max(options.least_heads,
                     static_cast<int>(low > 0 && high > low ? random.log_between(low, high + 1) : low));
        heads = std::min(heads, options.most_heads);
        nozzles();
        flow_ = 0;
        for (const Nozzle& n : s.nozzles) flow_ = std::max(flow_, n.rows[0].value.value);
        flow_ *= traits.ample ? std::max(2.0, 0.4 * heads) : 6;
        const Index start = make_supply();
        std::vector<Index> mains = make_main(start, heads);
        make_zones(mains, heads);
        if (options.hostile && random.chance(0.1)) make_isolated_part();
        if (options.hostile && random.chance(0.12) && traits.still != Traits::Still::no_run)
            add_shared_regulators(mains);
        if (options.hostile) add_traits(mains);
        make_runs();
        make_still();
        note_extremes(s, out.extremes);
        out.layout = find_layout(s);
        return std::move(out);
    }

  private:
    void note(Extreme extreme) { out.extremes.note(extreme); }

    // Supply, meter, backflow, perhaps pump, regulators, gate; returns where the main begins.
    Index make_supply() {
        double pressure = random.between(25, 110) * psi;
        if (options.hostile && random.chance(0.05)) pressure = random.between(0, 4) * psi;
        main_bore_ = std::sqrt(flow_ / 1.5);
        Index last = supply(pressure, flow_);
        const auto chain = [&](Index next) {
            pipe(last, next, main_bore_);
            last = next;
        };
        if (random.chance(0.5)) {
            chain(device(DeviceType::meter));
            last_device().loss = loss(flow_);
        }
        if (random.chance(0.6)) {
            chain(device(DeviceType::backflow));
            last_device().loss = loss(flow_);
            last_device().one_way = true;
        }
        if (random.chance(0.25)) {
            chain(device(DeviceType::pump));
            as_pump(flow_);
        }
        int regulators = 0;
        while (random.chance(regulators == 0 ? 0.25 : 0.4) && regulators < 3) {
            chain(device(DeviceType::regulator));
            as_regulator(20, 80, flow_);
            ++regulators;
        }
        series_ = regulators;
        if (regulators > 1) note(Extreme::regulators_in_series);
        if (random.chance(0.3)) {
            chain(device(DeviceType::gate));
            if (options.hostile && random.chance(0.05)) last_device().closed = true;
        }
        return last;
    }

    std::vector<Index> make_main(Index start, int heads) {
        std::vector<Index> mains{start};
        const int count = std::max(1, heads / 8 + random.below(4));
        const bool grid = count >= 6 && random.chance(0.2);
        const int width = std::max(2, static_cast<int>(std::sqrt(count)));
        if (grid) note(Extreme::grid);
        for (int i = 0; i < count; ++i) {
            const Index next = point();
            const int recent = grid ? 0 : i == 0 ? 0 : random.below(3);
            pipe(i == 0 ? start : mains[static_cast<std::size_t>(std::max(1, i - recent))], next, main_bore_);
            mains.push_back(next);
            if (grid && i >= width)
                pipe(mains[mains.size() - 1 - static_cast<std::size_t>(width)], next, main_bore_);
        }
        mains.erase(mains.begin());
        if (!grid && mains.size() > 2) {
            const int closures =
                random.chance(0.6) ? 1 + random.below(1 + static_cast<int>(mains.size()) / 6) : 0;
            for (int i = 0; i < closures; ++i) {
                const Index a = pick(mains), b = pick(mains);
                if (a == b) continue;
                if (random.chance(0.25)) {
                    link_through_device(a, b);
                } else {
                    pipe(a, b, main_bore_);
                    if (options.hostile && random.chance(0.08)) system().pipes.back().closed = true;
                }
            }
        }
        while (random.chance(0.15)) {
            const Index other = supply(random.between(25, 110) * psi, flow_);
            pipe(other, pick(mains), main_bore_);
        }
        return mains;
    }

    // A gate, check or sprung element across a loop of the main.
    void link_through_device(Index a, Index b) {
        const int kind = random.below(3);
        Index between = none;
        if (kind == 0) between = device(DeviceType::gate);
        if (kind == 1) {
            between = device(DeviceType::check);
            last_device().one_way = true;
            note(Extreme::one_way_back_pressure);
        }
        if (kind == 2) {
            between = spring(flow_);
            note(Extreme::sprung_back_pressure);
        }
        if (random.chance(0.1)) last_device().closed = true;
        pipe(a, between, main_bore_);
        pipe(between, b, main_bore_);
    }

    void make_zones(const std::vector<Index>& mains, int heads) {
        int left = heads;
        const double zone_bore = std::sqrt(flow_ / 3);
        while (left > 0) {
            const int count = std::min(left, 1 + random.below(20));
            left -= count;
            Index from = pick(mains);
            const bool valved = !random.chance(0.08) || traits.still == Traits::Still::no_run;
            if (valved) {
                if (traits.series && traits.random.chance(0.5)) {
                    const Index before = regulator(20, 80, flow_ / 2);
                    pipe(from, before, zone_bore);
                    from = before;
                    if (series_ > 0) note(Extreme::regulators_in_series);
                }
                const Index control = valve(flow_ / 2);
                const bool in_series = series_ > 0 || at(system().points, from).kind == PointKind::device;
                if (system().valves.back().set && in_series) note(Extreme::regulators_in_series);
                pipe(from, control, zone_bore);
                from = control;
            }
            std::vector<Index> line{from};
            for (int i = 0; i < count; ++i) {
                const Index after = random.chance(0.8) ? line.back() : pick(line);
                line.push_back(head(zone_bore, after));
            }
            line.erase(line.begin());
            if (line.size() > 3 && random.chance(0.25)) pipe(line.back(), line.front(), zone_bore);
            if (random.chance(0.1)) pipe(pick(line), point(), zone_bore);  // a dead end
        }
    }

    void make_isolated_part() {
        const Index a = point(), b = point();
        pipe(a, b, main_bore_);
        head(main_bore_, b);
        note(Extreme::isolated_part);
    }

    // Two regulators from the main into one part; or one beside an open way; or two that feed each other.
    void add_shared_regulators(const std::vector<Index>& mains) {
        if (mains.size() < 2) return;
        const Index tee = point();
        const int kind = traits.random.below(4);
        for (int i = 0; i < 2; ++i) {
            const Index from = pick(mains);
            if (kind == 2 && i == 1) {
                pipe(from, tee, main_bore_);
                break;
            }
            const Index between = regulator(20, 60, flow_ / 2);
            const bool back = kind == 3 && i == 1;
            pipe(back ? tee : from, between, main_bore_);
            pipe(between, back ? from : tee, main_bore_);
        }
        head(std::sqrt(flow_ / 3), tee);
        note(Extreme::shared_regulators);
    }

    void add_traits(const std::vector<Index>& mains) {
        System& s = system();
        Random& r = traits.random;
        if (traits.second_supply) add_second_supply(mains);
        if (traits.equal_supply) {
            Supply twin = s.supplies.front();
            twin.point = point(PointKind::supply, static_cast<Index>(s.supplies.size()));
            at(s.points, twin.point).elevation = at(s.points, s.supplies.front().point).elevation;
            s.supplies.push_back(twin);
            pipe(twin.point, pick(mains), main_bore_);
            note(Extreme::equal_supplies);
        }
        if (traits.even) add_ladder(pick(mains));
        if (traits.booster && mains.size() > 1) {
            const Index a = pick(mains), b = pick(mains), between = pump(flow_);
            pipe(a, between, main_bore_);
            pipe(between, b, main_bore_);
        }
        if (traits.own_valves) {
            const int count = 1 + r.below(4);
            for (int i = 0; i < count; ++i) add_own_valve(head(std::sqrt(flow_ / 3), pick(mains)));
            note(Extreme::own_valves);
        }
        // Each of the nozzles that were added has a head.
        const auto nozzle_of = [&](double flow, double exponent) {
            const Index point_of_head = head(std::sqrt(flow_ / 3), pick(mains));
            Head& of = s.heads.back();
            for (std::size_t n = 0; n < s.nozzles.size(); ++n) {
                const Nozzle& nozzle = s.nozzles[n];
                if (nozzle.rows.size() == 1 && nozzle.exponent == exponent &&
                    (flow == 0 || nozzle.rows[0].value.value == flow))
                    of.nozzle = static_cast<Index>(n);
            }
            return point_of_head;
        };
        if (traits.exponent_zero) nozzle_of(0, 0);
        if (traits.exponent_small) nozzle_of(0, 0.05);
        if (traits.far_flows) {
            nozzle_of(0.1 * gpm, 0.5);
            nozzle_of(100 * gpm, 0.5);
        }
        if (traits.sky_heads) at(s.points, s.heads.back().point).elevation = Quantity{r.between(400, 600), 0};
        if (traits.far_lengths) {
            const Index middle = point();
            const bool short_first = r.chance(0.5);
            at(s.pipes, pipe(pick(mains), middle, main_bore_)).length.value =
                (short_first ? 1 : 10000) * foot;
            at(s.pipes, pipe(middle, pick(mains), main_bore_)).length.value =
                (short_first ? 10000 : 1) * foot;
            head(std::sqrt(flow_ / 3), middle);
        }
        if (traits.far_bores) {
            const auto any = [&]() -> Pipe& {
                return s.pipes[static_cast<std::size_t>(r.below(static_cast<int>(s.pipes.size())))];
            };
            Pipe& thin = any();
            thin.size.edit().bore.value = 0.1 * inch;
            Pipe* wide = &any();
            if (wide == &thin) wide = &s.pipes[&thin == &s.pipes.front() ? s.pipes.size() - 1 : 0];
            wide->size.edit().bore.value = 48 * inch;
        }
    }

    // Mostly weaker than the first, behind an element that lets nothing back.
    void add_second_supply(const std::vector<Index>& mains) {
        Random& r = traits.random;
        Index last = supply(r.between(10, 90) * psi, flow_);
        Index next = none;
        switch (r.below(4)) {
            case 0:
                next = device(DeviceType::check);
                last_device().one_way = true;
                note(Extreme::one_way_back_pressure);
                break;
            case 1:
                next = regulator(20, 60, flow_);
                break;
            case 2:
                next = pump(flow_);
                note(Extreme::one_way_back_pressure);
                break;
            default:
                next = spring(flow_);
                note(Extreme::sprung_back_pressure);
        }
        pipe(last, next, main_bore_);
        pipe(next, pick(mains), main_bore_);
    }

    // Two like lines side by side, with rungs in which exactly nothing flows.
    void add_ladder(Index from) {
        const Index nozzle = traits.random.below(static_cast<int>(system().nozzles.size()));
        const int rungs = 1 + traits.random.below(6);
        Index left = from, right = from;
        for (int i = 0; i < rungs; ++i) {
            for (Index* side : {&left, &right}) {
                *side = head(main_bore_, *side);
                Head& of = system().heads.back();
                of.nozzle = nozzle;
                of.joint = {};
                of.set.reset();
                at(system().points, *side).elevation = Quantity{0, 0};
                Pipe& riser = system().pipes.back();
                riser.length.value = 30;
                riser.k.value = 0;
            }
            pipe(left, right, main_bore_);
        }
        note(Extreme::even);
    }

    void add_own_valve(Index point_of_head) {
        Valve own;
        own.point = point_of_head;
        own.head = at(system().points, point_of_head).row;
        own.loss = loss(flow_ / 6);
        if (traits.random.chance(0.3)) own.set = Quantity{traits.random.between(20, 60) * psi, 0};
        at(system().heads, own.head).valve = static_cast<Index>(system().valves.size());
        system().valves.push_back(own);
    }

    void make_runs() {
        System& s = system();
        if (s.valves.empty()) {
            s.runs.push_back({"all", {}, false, {}});
            return;
        }
        Run run{"drawn", {}, true, {}};
        const bool all = random.chance(0.3), nothing = options.hostile && random.chance(0.03);
        for (std::size_t v = 0; v < s.valves.size(); ++v) {
            if (!nothing && (all || random.chance(0.4))) run.valves.push_back(static_cast<Index>(v));
        }
        if (run.valves.empty() && !nothing)
            run.valves.push_back(random.below(static_cast<int>(s.valves.size())));
        s.runs.push_back(run);
    }

    // Nothing flows anywhere: no valve runs, no supply presses, everything is closed, or all heads stand in
    // the sky. Between supplies and round a ring with a pump water may flow still.
    void make_still() {
        System& s = system();
        switch (traits.still) {
            case Traits::Still::none:
                return;
            case Traits::Still::no_run:
                s.runs.back().valves.clear();
                break;
            case Traits::Still::weak_supply:
                for (Supply& u : s.supplies) {
                    u.static_pressure.value = 0;
                    u.tests.clear();
                    at(s.points, u.point).elevation = Quantity{-1000, 0};
                }
                break;
            case Traits::Still::closed:
                for (Pipe& p : s.pipes) {
                    if (at(s.points, p.from).kind == PointKind::supply) p.closed = true;
                }
                break;
            case Traits::Still::sky:
                for (const Head& h : s.heads)
                    at(s.points, h.point).elevation = Quantity{random.between(500, 600), 0};
                break;
        }
        note(Extreme::no_flow);
    }

    double flow_ = 0, main_bore_ = 0;
    int series_ = 0;
};

}  // namespace

Generated generate(std::uint64_t seed, const GeneratorOptions& options) {
    return Maker(seed, options).make();
}

}  // namespace evenhead::tests
