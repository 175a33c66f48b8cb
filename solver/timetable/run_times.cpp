// How long a zone runs:
//   minutes = depth / rate x multiplier,      depth = need a week / nights a week
// rate: what the row gives as measured; else what lands inside the zone's ground; else flow over area.
//
// Where water comes faster than the soil takes it (rate > intake), it stands on the ground. A cycle may last
// until what stands there reaches the storage:   longest = storage / (rate - intake);
// and what a cycle of t minutes leaves standing, (rate - intake) t, sinks away in
// soak(t) = t (rate - intake) / intake before the next may begin.
//
// From its first minute to its last a zone of T minutes in cycles t_1 .. t_n takes T + sum of soak(t_i) for
// i < n, at least T + soak(T - longest), since t_n <= longest.
#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/coverage/coverage.hpp"
#include "solver/runs/judge.hpp"
#include "solver/timetable/timetable_parts.hpp"

namespace evenhead::solver {
namespace {

constexpr double tiny = 1e-9;  // of a minute: rounding

model::Issue issue_of(const model::System& system, const model::Watering& row, std::string text,
                      std::string mend) {
    return {row.place, system.point_id(system.valves[at(row.valve)].point), std::move(text), std::move(mend)};
}

std::string no_rate_reason(Uncovered why) {
    switch (why) {
        case Uncovered::unsolved:
            return "the valve alone has no solution";
        case Uncovered::no_heads:
            return "no head of its zone can be counted (coordinates, radius, facing)";
        case Uncovered::few_heads:
            return "its zone has no area, and fewer than three heads with coordinates";
        case Uncovered::in_line:
            return "its zone has no area, and its heads stand in a line";
        case Uncovered::bad_outline:
            return "the outline of its area crosses itself or encloses nothing";
        case Uncovered::too_many_cells:
            return "the grid is too fine for its ground";
        default:
            return "nothing tells the ground of its zone";
    }
}

}  // namespace

double run_time_multiplier(MultiplierRule rule, double du_lq, double given) {
    if (rule == MultiplierRule::given) return given;
    if (rule == MultiplierRule::none || std::isnan(du_lq)) return 1;
    return rule == MultiplierRule::low_half ? 1 / (0.4 + 0.6 * du_lq) : 1 / du_lq;
}

int ZoneTime::soak(int cycle) const {
    return static_cast<int>(std::ceil(soak_share * cycle - tiny));
}

int ZoneTime::least_span() const {
    if (longest_cycle == 0 || minutes <= longest_cycle) return minutes;
    return minutes + soak(minutes - longest_cycle);
}

void find_rates(const model::System& system, const model::Layout& layout, const model::WateringPlan& plan,
                const TimetableOptions& options, Timetable& made, std::vector<model::Issue>& issues) {
    // Each valve alone, whatever the runs of the case open at once.
    model::System alone = system;
    alone.runs.clear();
    for (const model::Watering& row : plan.rows) {
        model::Run& run = alone.runs.emplace_back();
        run.id = system.point_id(system.valves[at(row.valve)].point);
        run.valves = {row.valve};
    }
    CoverageOptions coverage;
    coverage.grid = options.grid;
    coverage.threads = options.threads;
    const std::vector<ZoneCoverage> covered = cover(alone, layout, coverage);
    const JudgeBasis basis(system, layout);
    RunJudge judge(basis);
    Judged judged;
    for (std::size_t w = 0; w < plan.rows.size(); ++w) {
        const model::Watering& row = plan.rows[w];
        const auto of = std::find_if(covered.begin(), covered.end(),
                                     [&](const ZoneCoverage& zone) { return zone.valve == row.valve; });
        ZoneTime zone;
        zone.row = w;
        zone.valve = row.valve;
        judge.judge(model::none, {row.valve}, judged);
        if (!judged.result.failure) zone.alone = judged.result.valve_flow[at(row.valve)];
        const bool inside = of != covered.end() && of->covered();
        zone.du_lq = inside ? of->du_lq : ZoneCoverage::unknown;
        if (row.du_lq) {
            zone.du_lq = row.du_lq->value;
            zone.du_given = true;
        }
        if (row.rate) {
            zone.rate = row.rate->value;
            zone.rate_from = ZoneTime::RateFrom::given;
        } else if (inside && of->left_out.empty() && of->rate > 0) {
            zone.rate = of->rate;
        } else if (of != covered.end() && of->rate_formula > 0) {
            zone.rate = of->rate_formula;
            zone.rate_from = ZoneTime::RateFrom::formula;
        } else {
            issues.push_back(
                issue_of(system, row,
                         "no precipitation rate: " +
                             no_rate_reason(of == covered.end() ? Uncovered::no_run : of->why_none),
                         "give the zone an area, its heads coordinates, or the row a rate as measured"));
            continue;
        }
        if (inside && !of->left_out.empty() && !row.du_lq) zone.du_lq = ZoneCoverage::unknown;
        zone.multiplier = run_time_multiplier(options.multiplier, zone.du_lq, options.given_multiplier);
        if (!(zone.multiplier > 0) || !std::isfinite(zone.multiplier)) {
            issues.push_back(issue_of(system, row,
                                      "a lower quarter that gets nothing makes no run long enough",
                                      "mend the spacing first, or take another --multiplier"));
            continue;
        }
        made.zones.push_back(zone);
    }
}

void find_minutes(const model::System& system, const model::WateringPlan& plan, Timetable& made,
                  std::vector<model::Issue>& issues) {
    for (ZoneTime& zone : made.zones) {
        const model::Watering& row = plan.rows[zone.row];
        int nights = 0;
        for (int day = 0; day < 7; ++day) nights += static_cast<int>(zone.days >> day & 1U);
        zone.depth = row.need / nights;
        zone.exact = zone.depth / zone.rate * zone.multiplier / 60;
        if (!(zone.exact < 7 * 1440)) {
            issues.push_back(issue_of(system, row, "its run would last longer than a week",
                                      "look at need and rate: one of them is far off"));
            continue;
        }
        zone.minutes = std::max(1, static_cast<int>(std::ceil(zone.exact - tiny)));
        zone.longest_cycle = 0;
        zone.soak_share = 0;
        if (!row.intake || zone.rate <= row.intake->value) continue;
        const double surplus = zone.rate - row.intake->value;
        if (!row.storage) {
            issues.push_back(issue_of(system, row,
                                      "water comes faster than the soil takes it, and nothing says how much "
                                      "may stand on the ground",
                                      "give storage, a depth of water, beside intake"));
            continue;
        }
        zone.longest_cycle =
            static_cast<int>(std::min(1e6, std::floor(row.storage->value / surplus / 60 + tiny)));
        zone.soak_share = surplus / row.intake->value;
        if (zone.longest_cycle == 0)
            issues.push_back(issue_of(
                system, row, "the storage is full before a minute is over, and cycles are whole minutes",
                "look at storage and intake, or water with a lower rate"));
        else if (zone.cycles() > 500)
            issues.push_back(issue_of(system, row, "it would take more than 500 cycles a night",
                                      "look at storage and intake, or water on more days"));
    }
}

}  // namespace evenhead::solver
