#include "solver/timetable/timetable.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <mutex>
#include <stdexcept>

#include "model/position.hpp"
#include "solver/runs/judge.hpp"
#include "solver/runs/runs.hpp"
#include "solver/timetable/dear_sets_parts.hpp"
#include "solver/timetable/timetable_parts.hpp"

namespace evenhead::solver {
namespace {

/// The nights of a week, those with the same zones as one, in the order of their first day.
std::vector<Night> nights_of(const Timetable& made) {
    std::vector<Night> nights;
    for (int day = 0; day < 7; ++day) {
        std::vector<std::size_t> zones;
        for (std::size_t z = 0; z < made.zones.size(); ++z)
            if ((made.zones[z].days >> day & 1U) != 0) zones.push_back(z);
        if (zones.empty()) continue;
        const auto same = std::find_if(nights.begin(), nights.end(),
                                       [&](const Night& night) { return night.zones == zones; });
        if (same == nights.end()) {
            Night& night = nights.emplace_back();
            night.days = 1U << day;
            night.longer.assign(zones.size(), 0);
            night.zones = std::move(zones);
        } else
            same->days |= 1U << day;
    }
    return nights;
}

/// Judges sets that nobody tried before, from any thread.
class Asker {
  public:
    Asker(const JudgeBasis& basis, const std::vector<Index>& valves) : judge_(basis), valves_(valves) {}

    SetKind ask(const ValveSet& positions) {
        const std::lock_guard lock(mutex_);
        const auto known = known_.find(positions);
        if (known != known_.end()) return known->second;
        ValveSet open;
        for (const Index position : positions) open.push_back(valves_[at(position)]);
        std::sort(open.begin(), open.end());
        const SetKind kind = judge_.passes(open, judged_) ? SetKind::allowed : SetKind::blocked;
        known_.emplace(positions, kind);
        return kind;
    }

  private:
    std::mutex mutex_;
    RunJudge judge_;
    Judged judged_;
    const std::vector<Index>& valves_;
    std::unordered_map<ValveSet, SetKind, ValveSetHash> known_;
};

class Nights {
  public:
    Nights(const model::System& system, const model::Layout& layout, const model::WateringPlan& plan,
           const TimetableOptions& options, const Timetable& made)
        : system_(system),
          layout_(layout),
          plan_(plan),
          options_(options),
          made_(made),
          basis_(system, layout) {}

    void plan(Night& night) {
        std::vector<Index> valves;  // by position in the night
        for (const std::size_t zone : night.zones) valves.push_back(made_.zones[zone].valve);
        TogetherOptions question;
        question.threads = options_.threads;
        question.most = options_.most;
        question.findings = question.sets = false;
        question.valves = valves;
        std::sort(question.valves.begin(), question.valves.end());
        question.progress = [&](std::size_t tried, std::size_t) {
            if (options_.progress) options_.progress(std::to_string(tried) + " sets of valves tried");
        };
        const Together together = find_together(system_, layout_, question);
        night.tried = together.tried;
        night.never = together.never;
        night.sets = together.sets;
        night.start = night.end = plan_.window->from;
        if (!night.never.empty()) return;

        NightZones zones;
        for (const std::size_t zone : night.zones) zones.zones.push_back(made_.zones[zone]);
        zones.allowed = positions_of(together.allowed, valves);
        zones.too_high = positions_of(together.too_high, valves);
        Asker asker(basis_, valves);
        const bool every = together.every || together.complete;
        std::optional<DearSets> dear;
        if (!every) {
            zones.ask = [&](const ValveSet& set) { return asker.ask(set); };
            if (options_.progress) options_.progress("looking for sets that the night wants");
            const std::size_t threads = at(options_.threads > 0 ? options_.threads : default_threads());
            dear.emplace(basis_, valves, threads, options_.most / 2, zones);
            dear->add();
        }
        if (options_.progress) options_.progress("packing the night");
        const std::vector<ValveSet> first = dear ? dear->mattered() : std::vector<ValveSet>();
        const FractionalNight fractional = fractional_night(zones, true, 0, first);
        PackedNight packed;
        if (fractional.served) {
            find_bound(night, zones, fractional, dear);
            packed = pack_night(zones, fractional, night.bound.bound, options_);
        }
        if (packed.pieces.empty() || packed.too_high > 0) {
            find_bound(night, zones, fractional_night(zones, false, 0, first), dear);
            keep_company(night, zones, first);
            packed = pack_night(zones, fractional_night(zones, false, company, first), night.bound.bound,
                                options_);
        }
        if (packed.pieces.empty() || packed.too_high > 0) {
            never_alone(night, zones, valves);
            return;
        }
        open(night, zones, packed.pieces, valves);
    }

  private:
    static std::vector<ValveSet> positions_of(const std::vector<ValveSet>& sets,
                                              const std::vector<Index>& valves) {
        std::map<Index, Index> position;
        for (std::size_t i = 0; i < valves.size(); ++i) position[valves[i]] = static_cast<Index>(i);
        std::vector<ValveSet> found;
        for (const ValveSet& set : sets) {
            ValveSet& made = found.emplace_back();
            for (const Index valve : set) made.push_back(position.at(valve));
            std::sort(made.begin(), made.end());
        }
        return found;
    }

    static constexpr double company = 10;  // a minute of a zone for nothing costs as much as ten of the night

    /// Zones that may not be open alone may need others for longer than those want to run: gives those the
    /// minutes.
    static void keep_company(Night& night, NightZones& zones, const std::vector<ValveSet>& first) {
        const FractionalNight least = fractional_night(zones, false, company, first);
        std::vector<double> minutes(zones.zones.size(), 0);
        for (std::size_t s = 0; s < least.sets.size(); ++s)
            for (const Index zone : least.sets[s]) minutes[at(zone)] += least.minutes[s];
        for (std::size_t z = 0; z < minutes.size(); ++z) {
            night.longer[z] =
                std::max(0, static_cast<int>(std::ceil(minutes[z] - 1e-6)) - zones.zones[z].minutes);
            zones.zones[z].minutes += night.longer[z];
        }
    }

    static void never_alone(Night& night, const NightZones& zones, const std::vector<Index>& valves) {
        night.longer.assign(valves.size(), 0);
        for (std::size_t z = 0; z < valves.size(); ++z) {
            const ValveSet alone{static_cast<Index>(z)};
            if (std::find(zones.allowed.begin(), zones.allowed.end(), alone) == zones.allowed.end())
                night.never.push_back(valves[z]);
        }
    }

    /// Those that the programme opens.
    static std::vector<ValveSet> sets_of_programme(const FractionalNight& fractional,
                                                   const NightZones& zones) {
        std::vector<ValveSet> sets;
        for (std::size_t s = 0; s < fractional.sets.size(); ++s) {
            if (!(fractional.minutes[s] > 0)) continue;
            ValveSet& set = sets.emplace_back();
            for (const Index position : fractional.sets[s]) set.push_back(zones.zones[at(position)].valve);
            std::sort(set.begin(), set.end());
        }
        std::sort(sets.begin(), sets.end(), [](const ValveSet& one, const ValveSet& other) {
            return one.size() != other.size() ? one.size() > other.size() : one < other;
        });
        return sets;
    }

    static void find_bound(Night& night, const NightZones& zones, const FractionalNight& fractional,
                           std::optional<DearSets>& dear) {
        NightBound& bound = night.bound = {};
        bound.exact = fractional.exact;
        bound_by_zones(zones, bound);
        bound.price = fractional.price;
        bound.every_set = !dear;
        if (dear) {
            bound.most_together = dear->most_together(bound.price);
            night.sets = sets_of_programme(fractional, zones);
        }
        for (std::size_t z = 0; z < zones.zones.size(); ++z)
            bound.priced += bound.price[z] * zones.zones[z].minutes;
        bound.priced /= bound.most_together;
        const int priced = static_cast<int>(std::ceil(bound.priced - 1e-6));
        bound.bound = std::max({priced, bound.longest_span, bound.apart_minutes});
    }

    /// What the pieces open, minute by minute, balanced and judged once more.
    void open(Night& night, const NightZones& zones, const std::vector<RunPiece>& pieces,
              const std::vector<Index>& valves) {
        std::map<int, std::pair<std::vector<int>, std::vector<int>>> switches;  // minute: opened, shut
        for (const RunPiece& piece : pieces) {
            night.openings.push_back({night.zones[at(piece.zone)], night.start + piece.start,
                                      night.start + piece.start + piece.length});
            switches[piece.start].first.push_back(piece.zone);
            switches[piece.start + piece.length].second.push_back(piece.zone);
        }
        RunJudge judge(basis_);
        Judged judged;
        ValveSet now;
        std::vector<double> minutes(zones.zones.size(), 0);
        for (auto at_minute = switches.begin(); at_minute != switches.end(); ++at_minute) {
            for (const int zone : at_minute->second.second) std::erase(now, valves[at(zone)]);
            for (const int zone : at_minute->second.first) now.push_back(valves[at(zone)]);
            std::sort(now.begin(), now.end());
            if (now.empty()) continue;
            judge.judge(model::none, now, judged);
            if (!within_limits(judged)) throw std::logic_error("a moment of the timetable is outside limits");
            const int length = std::next(at_minute)->first - at_minute->first;
            TimetableRun run{now,
                             night.start + at_minute->first,
                             night.start + at_minute->first + length,
                             judged.result.flow,
                             judged.result.supply_flow,
                             {}};
            for (std::size_t d = 0; d < system_.devices.size(); ++d)
                if (system_.devices[d].type == model::DeviceType::pump)
                    run.pump_flow.push_back(judged.result.device_flow[d]);
            for (std::size_t z = 0; z < valves.size(); ++z)
                if (std::binary_search(now.begin(), now.end(), valves[z]))
                    minutes[z] += length * judged.result.valve_flow[at(valves[z])] / zones.zones[z].alone;
            night.end = std::max(night.end, run.end);
            night.runs.push_back(std::move(run));
        }
        for (std::size_t z = 0; z < valves.size(); ++z)
            night.applied.push_back(minutes[z] / zones.zones[z].exact);
    }

    const model::System& system_;
    const model::Layout& layout_;
    const model::WateringPlan& plan_;
    const TimetableOptions& options_;
    const Timetable& made_;
    const JudgeBasis basis_;
};

std::string list_of_valves(const model::System& system, const std::vector<Index>& valves) {
    std::string text;
    for (const Index valve : valves)
        text += (text.empty() ? "" : ", ") + system.point_id(system.valves[at(valve)].point);
    return text;
}

void say_what_is_taken(const model::System& system, Timetable& made) {
    const auto assume = [&](std::string subject, const char* what, std::string words, const char* why) {
        model::Assumption assumption;
        assumption.subject = std::move(subject);
        assumption.what = what;
        assumption.words = std::move(words);
        assumption.why = why;
        made.assumptions.push_back(std::move(assumption));
    };
    std::vector<Index> unwatered, formula, even;
    for (std::size_t v = 0; v < system.valves.size(); ++v) {
        const auto row = std::find_if(made.zones.begin(), made.zones.end(), [&](const ZoneTime& zone) {
            return zone.valve == static_cast<Index>(v);
        });
        if (row == made.zones.end()) {
            unwatered.push_back(static_cast<Index>(v));
            continue;
        }
        if (row->rate_from == ZoneTime::RateFrom::formula) formula.push_back(row->valve);
        const bool wants =
            made.multiplier == MultiplierRule::low_half || made.multiplier == MultiplierRule::low_quarter;
        if (wants && std::isnan(row->du_lq)) even.push_back(row->valve);
    }
    if (!unwatered.empty())
        assume(list_of_valves(system, unwatered), "watering", "none", "no row of watering");
    if (!formula.empty())
        assume(list_of_valves(system, formula), "rate", "flow over area",
               "not all heads of the zone can be placed on its ground");
    if (!even.empty()) assume(list_of_valves(system, even), "multiplier", "1", "its uniformity is not known");
}

}  // namespace

bool Timetable::possible() const {
    return std::all_of(nights.begin(), nights.end(), [](const Night& night) { return night.never.empty(); });
}

int Timetable::beyond(const model::Window& window) const {
    int most = 0;
    for (const Night& night : nights) most = std::max(most, night.length() - window.length);
    return most;
}

std::vector<model::Issue> timetable_issues(const model::System& system, const model::WateringPlan& plan) {
    std::vector<model::Issue> issues;
    const auto id = [&](const model::Watering& row) {
        return system.point_id(system.valves[at(row.valve)].point);
    };
    if (plan.rows.empty())
        issues.push_back({{0, 1, 1},
                          "the case",
                          "no table watering says how much water the zones want",
                          "write watering = [ { valve = \"...\", need = 1 }, ... ], a row for each zone"});
    if (!plan.window) {
        issues.push_back({{0, 1, 1},
                          "the case",
                          "no window says when they may water",
                          "write window = { from = \"22:00\", to = \"06:00\" }"});
        return issues;
    }
    int open = 0;
    for (int day = 0; day < 7; ++day) open += static_cast<int>(plan.window->days >> day & 1U);
    for (const model::Watering& row : plan.rows) {
        if ((row.days & ~plan.window->days) != 0)
            issues.push_back({row.place, id(row), "it waters on a day on which the window does not open",
                              "leave the day out, or let the window open then"});
        if (row.times > open)
            issues.push_back({row.place, id(row), "it waters on more days than the window opens",
                              "count fewer days, or let the window open on more"});
    }
    return issues;
}

TimetableOrIssues make_timetable(const model::System& system, const model::Layout& layout,
                                 const model::WateringPlan& plan, const TimetableOptions& options) {
    TimetableOrIssues made;
    made.issues = timetable_issues(system, plan);
    if (!made.issues.empty()) return made;
    Timetable& timetable = made.timetable;
    timetable.multiplier = options.multiplier;
    find_rates(system, layout, plan, options, timetable, made.issues);
    if (!made.issues.empty()) return made;
    choose_days(plan, timetable);
    find_minutes(system, plan, timetable, made.issues);
    if (!made.issues.empty()) return made;
    say_what_is_taken(system, timetable);
    timetable.nights = nights_of(timetable);
    Nights nights(system, layout, plan, options, timetable);
    for (Night& night : timetable.nights) nights.plan(night);
    for (std::size_t n = 1; n < timetable.nights.size(); ++n)
        if (timetable.nights[n].length() > timetable.nights[timetable.longest].length())
            timetable.longest = n;
    return made;
}

}  // namespace evenhead::solver
