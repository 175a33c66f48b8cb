#include "solver/coverage/coverage.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "model/position.hpp"
#include "solver/balance/balance.hpp"
#include "solver/coverage/cells.hpp"
#include "solver/parallel.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

constexpr double most_cells = 1e6;  // of a zone
constexpr double cells_in_throw = 20;
constexpr double widest_cell = 0.5;  // of a throw; wider ones do not see where its water falls

std::optional<double> known(const model::OptionalQuantity& quantity) {
    return quantity && quantity->known() ? std::optional(quantity->value) : std::nullopt;
}

/// What the balance says of the heads of one zone, in the order of the zone.
struct ZoneWater {
    Index run = model::none;
    bool solved = false;
    std::vector<double> pressure, flow, radius;
};

/// The zone of every valve in the first run that opens it.
std::vector<ZoneWater> balance_zones(const model::System& system, const model::Layout& layout,
                                     const Network& network, std::size_t threads) {
    std::vector<ZoneWater> zones(system.valves.size());
    std::vector<std::vector<Index>> of_run(system.runs.size());
    for (std::size_t run = 0; run < system.runs.size(); ++run)
        for (const Index valve : system.runs[run].valves)
            if (ZoneWater& zone = zones[at(valve)]; zone.run == model::none) {
                zone.run = static_cast<Index>(run);
                of_run[run].push_back(valve);
            }
    const Prepared prepared = prepare(network);
    std::vector<std::optional<Balancer>> balancers(threads);
    std::vector<RunResult> results(threads);
    in_parallel(threads, system.runs.size(), [&](std::size_t worker, std::size_t run) {
        if (of_run[run].empty()) return;
        if (!balancers[worker]) balancers[worker].emplace(system, network, prepared);
        RunResult& result = results[worker];
        balancers[worker]->balance(static_cast<Index>(run), system.runs[run].valves, result);
        for (const Index valve : of_run[run]) {
            ZoneWater& zone = zones[at(valve)];
            zone.solved = !result.failure;
            if (!zone.solved) continue;
            for (const Index head : layout.zone_heads[at(valve)]) {
                zone.pressure.push_back(result.head_pressure[at(head)]);
                zone.flow.push_back(result.head_flow[at(head)]);
                zone.radius.push_back(result.head_radius[at(head)]);
            }
        }
    });
    return zones;
}

/// Puts together what is known of one zone.
class ZoneCover {
  public:
    ZoneCover(const model::System& system, const model::Layout& layout, const Network& network,
              const CoverageOptions& options, Index valve, const ZoneWater& water)
        : system_(system),
          network_(network),
          options_(options),
          zone_heads_(layout.zone_heads[at(valve)]),
          water_(water) {
        found_.valve = valve;
        found_.run = water.run;
    }

    ZoneCoverage find() {
        const Uncovered no_ground = find_ground();
        if (water_.solved) {
            found_.flow = 0;
            for (const double flow : water_.flow) found_.flow += flow;
            count_heads();
            if (no_ground == Uncovered::covered) found_.rate_formula = found_.flow / found_.area;
        }
        found_.why_none = water_.run == model::none ? Uncovered::no_run
                          : !water_.solved          ? Uncovered::unsolved
                          : no_ground != Uncovered::covered
                              ? no_ground
                              : (found_.heads.empty() ? Uncovered::no_heads : Uncovered::covered);
        if (found_.covered()) water_the_ground();
        return std::move(found_);
    }

  private:
    const model::Head& head(Index of) const { return system_.heads[at(of)]; }

    std::optional<Place> place(Index of) const {
        const model::Point& point = system_.points[at(head(of).point)];
        const auto x = known(point.x), y = known(point.y);
        return x && y ? std::optional(Place{*x, *y}) : std::nullopt;
    }

    Uncovered find_ground() {
        std::vector<const model::Area*> outlines;
        for (std::size_t i = 0; i < system_.areas.size(); ++i)
            if (system_.areas[i].valve == found_.valve) {
                found_.areas.push_back(static_cast<Index>(i));
                outlines.push_back(&system_.areas[i]);
            }
        std::optional<Ground> ground;
        if (!outlines.empty()) {
            ground = ground_of_outlines(outlines);
            if (!ground) return Uncovered::bad_outline;
        } else {
            std::vector<Place> places;
            for (const Index head : zone_heads_)
                if (const auto at_head = place(head)) places.push_back(*at_head);
            if (places.size() < 3) return Uncovered::few_heads;
            ground = ground_of_hull(places);
            if (!ground) return Uncovered::in_line;
        }
        found_.ground = std::move(*ground);
        found_.area = found_.ground.area;
        return Uncovered::covered;
    }

    void count_heads() {
        for (std::size_t i = 0; i < zone_heads_.size(); ++i) {
            const Index of = zone_heads_[i];
            const model::Head& row = head(of);
            const auto leave_out = [&](LeftOut::Why why) { found_.left_out.push_back({of, why}); };
            const auto where = place(of);
            const model::Nozzle& nozzle = system_.nozzles[at(row.nozzle)];
            ThrowNumbers numbers;
            numbers.flow = water_.flow[i];
            numbers.radius = water_.radius[i];
            // A head without water throws nowhere; where nobody says how far it would, it is left out all the
            // same.
            const bool dry = !(numbers.flow > 0);
            if (dry) {
                numbers.flow = 0;
                numbers.radius = nozzle.radius.empty() ? 0 : nozzle.radius.front().value;
            }
            if (!where) {
                leave_out(LeftOut::Why::no_coordinates);
            } else if (!(numbers.radius > 0)) {
                leave_out(LeftOut::Why::no_radius);
            } else if (row.arc && !row.arc->known()) {
                leave_out(LeftOut::Why::no_arc);
            } else if (row.arc && row.arc->value < 360 && !known(row.facing)) {
                leave_out(LeftOut::Why::no_facing);
            } else if (!Throw::waters(nozzle.shape)) {
                leave_out(LeftOut::Why::no_shape);
            } else {
                numbers.x = (*where)[0];
                numbers.y = (*where)[1];
                numbers.arc = row.arc ? row.arc->value : 360;
                numbers.facing = known(row.facing).value_or(0);
                if (dry) found_.dry.push_back(of);
                HeadCoverage counted{of, dry ? 0 : water_.pressure[i], Throw(numbers, nozzle.shape)};
                find_nearest(counted, *where);
                found_.heads.push_back(std::move(counted));
            }
        }
        for (std::size_t i = 1; i < found_.heads.size(); ++i) {
            const double rate = own_rate(i);
            if (rate > own_rate(found_.wettest)) found_.wettest = i;
            if (rate < own_rate(found_.lowest)) found_.lowest = i;
        }
    }

    double own_rate(std::size_t i) const { return found_.heads[i].thrown.own_rate(); }

    void find_nearest(HeadCoverage& counted, const Place& where) const {
        double least = std::numeric_limits<double>::infinity();
        for (const Index other : zone_heads_) {
            const auto there = place(other);
            if (other == counted.head || !there) continue;
            const double distance = std::hypot((*there)[0] - where[0], (*there)[1] - where[1]);
            if (!(distance < least)) continue;
            least = counted.distance = distance;
            counted.nearest = other;
        }
    }

    void water_the_ground() {
        double smallest = std::numeric_limits<double>::infinity();
        for (const HeadCoverage& counted : found_.heads)
            smallest = std::min(smallest, counted.thrown.numbers().radius);
        found_.side = options_.grid > 0 ? options_.grid : smallest / cells_in_throw;
        if (found_.side > smallest * widest_cell) {
            found_.why_none = Uncovered::too_wide_cells;
            return;
        }
        if (const double wanted = count_cells(found_.ground, found_.side); wanted > most_cells) {
            if (options_.grid > 0) {
                found_.why_none = Uncovered::too_many_cells;
                return;
            }
            // Small throws on wide ground.
            found_.side *= std::sqrt(wanted / most_cells) * 1.01;
            found_.coarse = true;
        }
        CellGrid grid = cut_into_cells(found_.ground, found_.side);
        found_.cells = grid.cells;
        const std::vector<Throw> uniform = at_design_pressure();
        for (const HeadCoverage& counted : found_.heads) cut_at_edges(grid, counted.thrown);
        for (const Throw& thrown : uniform) cut_at_edges(grid, thrown);

        const GroundPlaces ground = places_of(grid);
        std::vector<double> depths(ground.places.size(), 0), even_depths = depths;
        double thrown = 0, landed = 0;
        for (const HeadCoverage& counted : found_.heads) {
            add_throw(grid, ground, counted.thrown, depths);
            thrown += counted.thrown.numbers().flow;
        }
        for (const Throw& each : uniform) add_throw(grid, ground, each, even_depths);
        for (std::size_t i = 0; i < depths.size(); ++i) landed += depths[i] * ground.areas[i];
        found_.rate = landed / found_.area;
        found_.lost = thrown > 0 ? 1 - landed / thrown : ZoneCoverage::unknown;
        const Uniformity real = uniformity_of(ground, depths), even = uniformity_of(ground, even_depths);
        found_.du_lq = real.du_lq;
        found_.cu = real.cu;
        found_.uniform_du_lq = even.du_lq;
        found_.uniform_cu = even.cu;
        found_.below_half = share_below(ground, depths, real.mean / 2);
        // A sliver at the edge is no place.
        found_.driest = driest_places(ground, depths, smallest / 2, found_.side * found_.side / 20);
    }

    std::vector<Throw> at_design_pressure() {
        double pressures = 0;
        for (const HeadCoverage& counted : found_.heads) pressures += counted.pressure;
        const double mean_pressure = pressures / static_cast<double>(found_.heads.size());
        std::vector<Throw> throws;
        for (const HeadCoverage& counted : found_.heads) {
            const model::Nozzle& nozzle = system_.nozzles[at(head(counted.head).nozzle)];
            const auto design = known(nozzle.design);
            if (!design) found_.all_have_design = false;
            const double pressure = design.value_or(mean_pressure);
            ThrowNumbers numbers = counted.thrown.numbers();
            numbers.flow =
                network_.head_laws[at(counted.head)]->nozzle().flow(pressure * network_.metres_per_pascal);
            numbers.radius = throw_radius(nozzle, pressure);
            if (numbers.radius > 0) throws.emplace_back(numbers, nozzle.shape);
        }
        return throws;
    }

    const model::System& system_;
    const Network& network_;
    const CoverageOptions& options_;
    const std::vector<Index>& zone_heads_;
    const ZoneWater& water_;
    ZoneCoverage found_;
};

}  // namespace

double ZoneCoverage::matched_difference() const {
    if (heads.empty()) return unknown;
    const double low = heads[lowest].thrown.own_rate();
    return low > 0 ? heads[wettest].thrown.own_rate() / low - 1 : unknown;
}

double ZoneCoverage::rate_at(double x, double y) const {
    double sum = 0;
    for (const HeadCoverage& head : heads) sum += head.thrown.rate(x, y);
    return sum;
}

std::vector<ZoneCoverage> cover(const model::System& system, const model::Layout& layout,
                                const CoverageOptions& options) {
    const auto threads = at(options.threads > 0 ? options.threads : default_threads());
    const Network network = build_network(system, layout);
    const std::vector<ZoneWater> water = balance_zones(system, layout, network, threads);
    std::vector<ZoneCoverage> zones(system.valves.size());
    in_parallel(threads, zones.size(), [&](std::size_t, std::size_t i) {
        zones[i] = ZoneCover(system, layout, network, options, static_cast<Index>(i), water[i]).find();
    });
    return zones;
}

}  // namespace evenhead::solver
