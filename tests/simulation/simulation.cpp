#include "tests/simulation/simulation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <set>

#include "model/position.hpp"
#include "solver/diagnosis/gauges.hpp"
#include "solver/inputs/inputs.hpp"
#include "solver/parallel.hpp"

namespace evenhead::tests {
namespace {

using namespace solver;
using model::none;

constexpr double psi = 6894.757293168361, gpm = 0.003785411784 / 60;
// The noise that the specification states: 1 psi, 3 % of a flow and at least 0.1 gpm.
double flow_deviation(double flow) {
    return std::max(0.03 * flow, 0.1 * gpm);
}

struct Planted {
    Index run = none;
    bool healthy = false;
    Site site;
};

/// The case without what would make its readings or inputs other than simulated ones.
model::System exact(model::System system) {
    system.readings.clear();
    system.seen.clear();
    for (const Input& input : uncertain_inputs(system)) forget_spread(system, input);
    return system;
}

class Simulation {
  public:
    Simulation(const model::System& system, const model::Layout& layout, const SimulationOptions& options)
        : system_(exact(system)), layout_(layout), options_(options) {
        for (const model::Device& device : system_.devices)
            if (meter_ == none && device.type == model::DeviceType::meter) meter_ = device.point;
    }

    std::vector<Simulated> run() {
        const std::vector<Planted> todo = plant();
        std::vector<std::optional<Simulated>> outcomes(todo.size());
        in_parallel(at(options_.threads), todo.size(),
                    [&](std::size_t, std::size_t i) { outcomes[i] = one(todo[i], i); });
        std::vector<Simulated> cases;
        for (auto& outcome : outcomes)
            if (outcome) cases.push_back(std::move(*outcome));
        return cases;
    }

  private:
    const std::vector<Index>& heads_of(Index run) const {
        return layout_.zone_heads[at(system_.runs[at(run)].valves.front())];
    }

    // First head, last head, meter; their values come later.
    std::vector<model::Reading> given(Index run) const {
        std::vector<model::Reading> readings;
        const auto& heads = heads_of(run);
        for (const Index head : {heads.front(), heads.back()}) {
            model::Reading reading;
            reading.run = run;
            reading.point = system_.heads[at(head)].point;
            reading.pressure = model::Quantity{psi, psi};
            readings.push_back(reading);
        }
        if (meter_ == none) return readings;
        model::Reading reading;
        reading.run = run;
        reading.point = meter_;
        reading.flow = model::Quantity{gpm, gpm};
        readings.push_back(reading);
        return readings;
    }

    Survey survey_of(Index run, model::System& system) const {
        system.readings = given(run);
        std::vector<Index> unused;
        return plan_survey(system, layout_, run, unused);
    }

    std::vector<Planted> plant() const {
        std::vector<Planted> every;
        std::vector<double> weights;
        for (std::size_t i = 0; i < system_.runs.size(); ++i) {
            const auto run = static_cast<Index>(i);
            if (system_.runs[i].valves.empty() || heads_of(run).size() < 3) continue;
            model::System system = system_;
            const Survey survey = survey_of(run, system);
            for (const Site& site : fault_sites(survey.part.system, survey.layout, model::fault_priors(),
                                                survey.read_zones, survey.situations.front().open)) {
                every.push_back({run, false, site});
                weights.push_back(site.weight);
            }
            every.push_back({run, true, {}});
            weights.push_back(model::fault_priors().as_drawn);
        }
        if (options_.cases == 0 || every.empty()) return every;
        std::mt19937_64 random(options_.seed);
        std::discrete_distribution<std::size_t> draw(weights.begin(), weights.end());
        std::vector<Planted> drawn;
        for (std::size_t i = 0; i < options_.cases; ++i) drawn.push_back(every[draw(random)]);
        return drawn;
    }

    /// What is planted, balanced in the situations of a survey.
    static std::vector<double> truth(const Planted& planted, double rank, const Survey& survey,
                                     const Healthy& healthy, double* severity) {
        if (planted.healthy) return healthy.shown;
        const bool second = planted.site.kind == FaultKind::second_zone_on;
        const Survey with = second ? with_zone(survey, planted.site.at.index) : survey;
        const Site* const faults[] = {&planted.site};
        FaultySystem system(with, model::fault_priors(), faults, &healthy);
        if (!system.possible()) return {};
        const double ranks[] = {rank};
        const auto answer = system.solve(ranks);
        if (!answer.solved) return {};
        if (severity != nullptr) *severity = answer.severities.front();
        return answer.shown;
    }

    static bool is_noticed(const Survey& survey, const Healthy& healthy, const std::vector<double>& shown) {
        for (std::size_t i = 0; i < shown.size(); ++i) {
            const double deviation = survey.gauges[i].flow ? flow_deviation(healthy.shown[i]) : psi;
            if (std::abs(shown[i] - healthy.shown[i]) >= noticed * deviation) return true;
        }
        return false;
    }

    static void measure(model::Reading& reading, double true_value, std::mt19937_64& random) {
        std::normal_distribution<double> normal;
        const double deviation = reading.flow ? flow_deviation(true_value) : psi;
        const double value = std::max(0.0, true_value + normal(random) * deviation);
        // Who reads states the spread of what was read.
        if (reading.flow)
            reading.flow = model::Quantity{value, flow_deviation(value)};
        else
            reading.pressure = model::Quantity{value, psi};
    }

    static model::Reading reading_at(const Survey& survey, const Gauge& gauge) {
        model::Reading reading;
        reading.run = survey.situations[gauge.situation].run;
        reading.all_shut = reading.run == none;
        reading.point = survey.part.point[at(gauge.point)];
        if (gauge.flow)
            reading.flow = model::Quantity{gpm, gpm};
        else
            reading.pressure = model::Quantity{psi, psi};
        reading.gauge = gauge.way;
        reading.side = gauge.side;
        return reading;
    }

    std::optional<Simulated> one(const Planted& planted, std::size_t number) const {
        std::mt19937_64 random(options_.seed * 1000003 + number);
        model::System system = system_;
        const Survey survey = survey_of(planted.run, system);
        const Healthy healthy = FaultySystem::healthy(survey, model::fault_priors());
        double rank = 0, severity = 0;
        std::vector<double> shown;
        const int tries = planted.healthy || planted.site.kind == FaultKind::second_zone_on ? 1 : 200;
        for (int i = 0; i < tries && shown.empty(); ++i) {
            rank = std::uniform_real_distribution<double>()(random);
            shown = truth(planted, rank, survey, healthy, &severity);
            if (!planted.healthy && !is_noticed(survey, healthy, shown)) shown.clear();
        }
        if (shown.empty()) return std::nullopt;
        for (std::size_t i = 0; i < survey.readings; ++i) measure(system.readings[i], shown[i], random);

        DiagnosisOptions options;
        options.threads = 1;
        options.complaint = planted.run;
        Diagnosis diagnosis = diagnose(system, layout_, options);
        while (static_cast<int>(system.readings.size()) < options_.readings && !diagnosis.next.empty()) {
            const std::size_t next = diagnosis.next.front().gauge;
            const std::vector<double> now =
                truth(planted, rank, diagnosis.survey, diagnosis.healthy, nullptr);
            system.readings.push_back(reading_at(diagnosis.survey, diagnosis.survey.gauges[next]));
            measure(system.readings.back(), now.at(next), random);
            const Diagnosis before = std::move(diagnosis);
            options.before = &before;
            diagnosis = diagnose(system, layout_, options);
            options.before = nullptr;
        }
        return judge(planted, severity, diagnosis);
    }

    static bool is(const Planted& planted, const Hypothesis& hypothesis) {
        if (planted.healthy) return hypothesis.faults.empty();
        return hypothesis.faults.size() == 1 && hypothesis.faults[0]->kind == planted.site.kind &&
               hypothesis.faults[0]->at == planted.site.at && hypothesis.faults[0]->rows == planted.site.rows;
    }

    static std::string words(const Site& site) {
        return fmt::format("{} at {}/{}{}", model::fault_name(site.kind), static_cast<int>(site.at.kind),
                           site.at.index, site.rows.size() > 1 ? "+" : "");
    }

    static Simulated judge(const Planted& planted, double severity, const Diagnosis& diagnosis) {
        Simulated outcome;
        outcome.healthy = planted.healthy;
        outcome.kind = planted.site.kind;
        outcome.words =
            planted.healthy ? "nothing" : fmt::format("{}, severity {:.4g}", words(planted.site), severity);
        outcome.log_score = std::log(1e-6);  // not even listed
        std::set<std::pair<int, Index>> places;
        for (const std::size_t member : diagnosis.groups.at(0).members)
            for (const Site* site : diagnosis.hypotheses[member].faults)
                places.insert({static_cast<int>(site->at.kind), site->at.index});
        outcome.places = places.size();
        outcome.leading = diagnosis.groups[0].probability;
        for (std::size_t group = 0; group < diagnosis.groups.size(); ++group) {
            for (const std::size_t member : diagnosis.groups[group].members) {
                const Hypothesis& hypothesis = diagnosis.hypotheses[member];
                if (!is(planted, hypothesis)) continue;
                outcome.first = group == 0;
                outcome.among_three = group < 3;
                outcome.log_score = std::log(diagnosis.groups[group].probability);
                outcome.has_severity = !planted.healthy && planted.site.kind != FaultKind::second_zone_on;
                outcome.in_band = outcome.has_severity && severity >= hypothesis.band[0][0] &&
                                  severity <= hypothesis.band[0][1];
            }
        }
        if (!outcome.first) {
            const Hypothesis& leads = diagnosis.hypotheses[diagnosis.groups[0].members[0]];
            outcome.words +=
                fmt::format(", but {} leads with {:.2f}",
                            leads.faults.empty() ? "nothing" : words(*leads.faults[0]), outcome.leading);
        }
        return outcome;
    }

    model::System system_;
    const model::Layout& layout_;
    SimulationOptions options_;
    Index meter_ = none;
};

}  // namespace

std::vector<Simulated> simulate(const model::System& system, const model::Layout& layout,
                                const SimulationOptions& options) {
    return Simulation(system, layout, options).run();
}

Score score(const std::vector<Simulated>& cases) {
    Score score;
    std::vector<std::size_t> places;
    for (const Simulated& of : cases) {
        if (of.healthy) {
            ++score.healthy;
            score.healthy_first += of.first ? 1 : 0;
            continue;
        }
        ++score.faults;
        score.first += of.first ? 1 : 0;
        score.among_three += of.among_three ? 1 : 0;
        score.with_band += of.has_severity ? 1 : 0;
        score.in_band += of.in_band ? 1 : 0;
        score.log_score += of.log_score;
        places.push_back(of.places);
        Score::Bin& bin = score.bins[std::min<std::size_t>(9, static_cast<std::size_t>(of.leading * 10))];
        ++bin.count;
        bin.right += of.first ? 1 : 0;
        bin.probability += of.leading;
        auto& kind = score.kinds[std::string(model::fault_name(of.kind))];
        ++kind[0];
        kind[1] += of.first ? 1 : 0;
    }
    std::sort(places.begin(), places.end());
    if (!places.empty()) score.median_places = places[places.size() / 2];
    return score;
}

bool calibrated(std::size_t right, std::size_t count, double probability) {
    const auto n = static_cast<double>(count);
    return std::abs(static_cast<double>(right) / n - probability) <=
           2.576 * std::sqrt(probability * (1 - probability) / n) + 0.5 / n;
}

std::string score_text(const Score& score) {
    const auto percent = [](std::size_t part, std::size_t whole) {
        return whole == 0
                   ? std::string("-")
                   : fmt::format("{:.1f} %", 100.0 * static_cast<double>(part) / static_cast<double>(whole));
    };
    std::string text = fmt::format(
        "{} faults: in the leading group {}, among the first three {}, median places of the leading group "
        "{},\n"
        "  mean log score {:.3f}, severity in its band {} of {}; {} healthy: first {}\n",
        score.faults, percent(score.first, score.faults), percent(score.among_three, score.faults),
        score.median_places, score.log_score / static_cast<double>(std::max<std::size_t>(1, score.faults)),
        percent(score.in_band, score.with_band), score.with_band, score.healthy,
        percent(score.healthy_first, score.healthy));
    for (const auto& [kind, counts] : score.kinds)
        text +=
            fmt::format("  {:<16} {:>5} cases, first {}\n", kind, counts[0], percent(counts[1], counts[0]));
    for (const Score::Bin& bin : score.bins)
        if (bin.count > 0)
            text += fmt::format("  said {:.3f}: right {} of {} ({})\n",
                                bin.probability / static_cast<double>(bin.count), bin.right, bin.count,
                                percent(bin.right, bin.count));
    return text;
}

}  // namespace evenhead::tests
