// A reading r of what the case says is y has strayed by its own standard deviation s, and y by what the case
// says, or what is usual where it says nothing, it may be off: inputs x with standard deviations p. To first
// order, and the inputs being independent,
//     variance of r - y = s^2 + sum over inputs (dy/dx p)^2,
// with dy/dx p taken from the balances at x + p and x - p: half of what y differs by between them. Two
// standard deviations hold nineteen readings of twenty.
#include "solver/acceptance/acceptance.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "model/position.hpp"
#include "solver/diagnosis/faulty_system.hpp"
#include "solver/inputs/inputs.hpp"
#include "solver/inputs/spreads.hpp"
#include "solver/parallel.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

using model::none;

/// The readings with the situations that they were taken in; nothing beyond what was read.
Survey survey_of_readings(const model::System& system, const model::Layout& layout) {
    if (system.readings.empty()) throw std::invalid_argument("there is no reading to judge");
    std::vector<Situation> situations;
    std::vector<Gauge> gauges;
    std::vector<Index> zones;
    for (const model::Reading& reading : system.readings) {
        const Index run = reading.all_shut ? none : reading.run;
        auto found = std::find_if(situations.begin(), situations.end(),
                                  [&](const Situation& situation) { return situation.run == run; });
        if (found == situations.end()) {
            situations.push_back({run, run == none ? std::vector<Index>{} : system.runs[at(run)].valves});
            found = situations.end() - 1;
            zones.insert(zones.end(), found->open.begin(), found->open.end());
        }
        const model::Quantity& value = reading.flow ? *reading.flow : *reading.pressure;
        gauges.push_back({static_cast<std::size_t>(found - situations.begin()), reading.point,
                          reading.flow.has_value(), reading.gauge, reading.side, value.deviation,
                          value.value});
    }
    std::sort(zones.begin(), zones.end());
    zones.erase(std::unique(zones.begin(), zones.end()), zones.end());
    const std::size_t count = gauges.size();
    return make_survey(system, layout, std::move(situations), std::move(gauges), count, std::move(zones));
}

/// What the gauges show with one input changed; empty where a run has no solution then.
std::vector<double> shown_with(const Survey& survey, const Input& input, double change) {
    Survey moved = survey;
    change_input(moved.part.system, input, change);
    if (input.kind == Input::Kind::elevation) moved.layout = model::find_layout(moved.part.system);
    Healthy healthy = FaultySystem::healthy(moved, model::fault_priors());
    const bool solved = std::all_of(healthy.results.begin(), healthy.results.end(),
                                    [](const auto& result) { return result.has_value(); });
    return solved ? std::move(healthy.shown) : std::vector<double>{};
}

/// What each gauge moves by at one standard deviation of the input.
std::vector<double> drift(const Survey& survey, const std::vector<double>& drawn, const Input& input) {
    const std::vector<double> above = shown_with(survey, input, input.deviation),
                              below = shown_with(survey, input, -input.deviation);
    std::vector<double> moved(drawn.size(), 0);
    for (std::size_t gauge = 0; gauge < moved.size(); ++gauge) {
        if (!above.empty() && !below.empty())
            moved[gauge] = (above[gauge] - below[gauge]) / 2;
        else if (!above.empty())
            moved[gauge] = above[gauge] - drawn[gauge];
        else if (!below.empty())
            moved[gauge] = drawn[gauge] - below[gauge];
        if (!std::isfinite(moved[gauge])) moved[gauge] = 0;
    }
    return moved;
}

}  // namespace

std::size_t Acceptance::rejected() const {
    return static_cast<std::size_t>(std::count_if(
        readings.begin(), readings.end(), [](const AcceptedReading& reading) { return !reading.accepted; }));
}

Acceptance accept_readings(const model::System& system, const model::Layout& layout,
                           const AcceptOptions& options) {
    Survey survey = survey_of_readings(system, layout);
    const Healthy healthy = FaultySystem::healthy(survey, model::fault_priors());
    for (const auto& result : healthy.results)
        if (!result) throw std::invalid_argument("a run that was read has no solution: see check");

    Acceptance acceptance;
    acceptance.given_spreads = uncertain_inputs(survey.part.system).size();
    if (options.spreads != nullptr)
        survey.part.system = with_spreads(std::move(survey.part.system), *options.spreads);
    const std::vector<Input> inputs = uncertain_inputs(survey.part.system);
    acceptance.usual_spreads = inputs.size() - acceptance.given_spreads;
    std::vector<std::vector<double>> drifts(inputs.size());
    in_parallel(at(options.threads > 0 ? options.threads : default_threads()), inputs.size(),
                [&](std::size_t, std::size_t i) { drifts[i] = drift(survey, healthy.shown, inputs[i]); });

    for (std::size_t i = 0; i < survey.gauges.size(); ++i) {
        if (std::isnan(healthy.shown[i])) {
            acceptance.unused.push_back(static_cast<Index>(i));
            continue;
        }
        AcceptedReading reading;
        reading.gauge = survey.gauges[i];
        reading.gauge.point = system.readings[i].point;
        reading.run = survey.situations[reading.gauge.situation].run;
        reading.predicted = healthy.shown[i];
        reading.difference = reading.gauge.measured - reading.predicted;
        double variance = 0;
        for (const std::vector<double>& moved : drifts) variance += moved[i] * moved[i];
        reading.model_deviation = std::sqrt(variance);
        reading.allowed = 2 * std::hypot(reading.gauge.deviation, reading.model_deviation);
        reading.accepted = std::abs(reading.difference) <= reading.allowed;
        acceptance.readings.push_back(reading);
    }
    return acceptance;
}

}  // namespace evenhead::solver
