#include "solver/diagnosis/diagnosis.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <stdexcept>

#include "model/position.hpp"
#include "solver/diagnosis/evidence_parts.hpp"
#include "solver/diagnosis/gauges.hpp"
#include "solver/diagnosis/two_faults_parts.hpp"
#include "solver/inputs/inputs.hpp"
#include "solver/parallel.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

/// What each gauge moves by at one standard deviation of each uncertain input, nothing being wrong.
Eigen::MatrixXd find_drift(const Survey& survey, const model::FaultPriors& priors, const Healthy& healthy) {
    const std::vector<Input> inputs = uncertain_inputs(survey.part.system);
    const auto gauges = static_cast<Eigen::Index>(survey.gauges.size());
    Eigen::MatrixXd drift = Eigen::MatrixXd::Zero(gauges, static_cast<Eigen::Index>(inputs.size()));
    for (std::size_t i = 0; i < inputs.size(); ++i) {
        Survey moved = survey;
        change_input(moved.part.system, inputs[i], inputs[i].deviation);
        moved.layout = model::find_layout(moved.part.system);
        const Healthy shifted = FaultySystem::healthy(moved, priors);
        for (std::size_t gauge = 0; gauge < survey.gauges.size(); ++gauge) {
            const double change = shifted.shown[gauge] - healthy.shown[gauge];
            if (std::isfinite(change))
                drift(static_cast<Eigen::Index>(gauge), static_cast<Eigen::Index>(i)) = change;
        }
    }
    return drift;
}

Evidence gather_evidence(const Survey& survey, const model::FaultPriors& priors, const Healthy& healthy) {
    std::vector<double> deviations, read;
    Eigen::VectorXd measured(static_cast<Eigen::Index>(survey.readings));
    for (std::size_t i = 0; i < survey.gauges.size(); ++i) {
        deviations.push_back(survey.gauges[i].deviation);
        if (i >= survey.readings) continue;
        read.push_back(survey.gauges[i].deviation);
        measured[static_cast<Eigen::Index>(i)] = survey.gauges[i].measured;
    }
    const Eigen::MatrixXd drift = find_drift(survey, priors, healthy);
    Likelihood likelihood(read, drift.topRows(measured.size()), priors);
    return {measured, drift, std::move(deviations), std::move(likelihood)};
}

/// Weights of the answers, so that all together are 1.
struct Weights {
    double as_drawn, one_fault, two_faults, unexplained;  // one_fault: per unit of Site::weight
};
Weights share_out(const std::vector<Site>& sites, const model::FaultPriors& priors) {
    double faults = 0;
    for (const Site& site : sites) faults += site.weight;
    const double all = faults + priors.as_drawn + priors.two_faults + priors.unexplained;
    if (!(all > 0)) throw std::invalid_argument("every answer has the weight 0");
    return {priors.as_drawn / all, 1 / all, priors.two_faults / all, priors.unexplained / all};
}

/// What a reading says where nothing of the table is the matter: anything within ten of its standard
/// deviations.
double log_unexplained(const Survey& survey, const Evidence& evidence, const Healthy& healthy,
                       const model::FaultPriors& priors) {
    std::vector<double> wide;
    for (std::size_t i = 0; i < survey.readings; ++i) wide.push_back(10 * survey.gauges[i].deviation);
    return Likelihood(wide, evidence.drift.topRows(evidence.measured.size()), priors)
        .log(differences(evidence, healthy.shown));
}

void weigh(Diagnosis& diagnosis, const model::System& whole, double unexplained_prior,
           double unexplained_log) {
    double most = unexplained_log + std::log(unexplained_prior);
    std::vector<double> logs;
    for (const Hypothesis& hypothesis : diagnosis.hypotheses) {
        logs.push_back(hypothesis.log_evidence + std::log(hypothesis.prior) +
                       std::log(seen_factor(whole, diagnosis.survey, hypothesis)));
        most = std::max(most, logs.back());
    }
    double sum = diagnosis.unexplained =
        unexplained_prior > 0 ? std::exp(unexplained_log + std::log(unexplained_prior) - most) : 0;
    for (std::size_t i = 0; i < logs.size(); ++i)
        sum += diagnosis.hypotheses[i].probability = std::exp(logs[i] - most);
    diagnosis.unexplained /= sum;
    for (Hypothesis& hypothesis : diagnosis.hypotheses) hypothesis.probability /= sum;
    // What is next to impossible is not listed, and what is left is the whole.
    constexpr double negligible = 1e-6;
    std::erase_if(diagnosis.hypotheses,
                  [](const Hypothesis& hypothesis) { return hypothesis.probability < negligible; });
    double left = diagnosis.unexplained;
    for (const Hypothesis& hypothesis : diagnosis.hypotheses) left += hypothesis.probability;
    diagnosis.unexplained /= left;
    for (Hypothesis& hypothesis : diagnosis.hypotheses) hypothesis.probability /= left;
    std::stable_sort(
        diagnosis.hypotheses.begin(), diagnosis.hypotheses.end(),
        [](const Hypothesis& one, const Hypothesis& other) { return one.probability > other.probability; });
}

void note_bad_readings(Diagnosis& diagnosis, const Evidence& evidence) {
    if (diagnosis.hypotheses.empty()) return;
    const auto [reading, chance] =
        evidence.likelihood.worst(differences(evidence, diagnosis.hypotheses.front().best));
    if (reading >= 0 && chance > 0.5) diagnosis.bad_reading.push_back(at(reading));
}

bool same_gauge(const Gauge& one, const Gauge& other) {
    return one.situation == other.situation && one.point == other.point && one.flow == other.flow &&
           one.way == other.way && one.side == other.side;
}

/// Where each gauge of a survey stood in an earlier one; empty where the two are not of the same situations.
std::vector<std::size_t> gauges_before(const Diagnosis& before, const Survey& survey) {
    const auto& earlier = before.survey;
    const bool same =
        before.survey.whole == survey.whole && earlier.zones == survey.zones &&
        earlier.read_zones == survey.read_zones &&
        std::equal(earlier.situations.begin(), earlier.situations.end(), survey.situations.begin(),
                   survey.situations.end(),
                   [](const Situation& one, const Situation& other) { return one.run == other.run; });
    std::vector<std::size_t> order;
    for (std::size_t i = 0; same && i < survey.gauges.size(); ++i) {
        const auto found =
            std::find_if(earlier.gauges.begin(), earlier.gauges.end(),
                         [&](const Gauge& gauge) { return same_gauge(gauge, survey.gauges[i]); });
        if (found == earlier.gauges.end()) return {};
        order.push_back(static_cast<std::size_t>(found - earlier.gauges.begin()));
    }
    return order;
}

}  // namespace

Diagnosis diagnose(const model::System& system, const model::Layout& layout,
                   const DiagnosisOptions& options) {
    const model::FaultPriors& priors = options.priors != nullptr ? *options.priors : model::fault_priors();
    Diagnosis diagnosis;
    diagnosis.survey = plan_survey(system, layout, options.complaint, diagnosis.unused);
    const Survey& survey = diagnosis.survey;
    diagnosis.healthy = FaultySystem::healthy(survey, priors);
    const Healthy& healthy = diagnosis.healthy;
    for (std::size_t i = 0; i < survey.situations.size(); ++i)
        if (!healthy.results[i])
            throw std::invalid_argument("as drawn, a run that was read has no solution: see check");
    const Evidence evidence = gather_evidence(survey, priors, healthy);

    diagnosis.sites = fault_sites(survey.part.system, survey.layout, priors, survey.read_zones,
                                  survey.situations.front().open);
    std::erase_if(diagnosis.sites, [](const Site& site) { return !(site.weight > 0); });
    const Weights weights = share_out(diagnosis.sites, priors);
    const std::size_t count = diagnosis.sites.size();
    std::vector<std::optional<Response>>& responses = diagnosis.responses;
    responses.resize(count);
    const std::vector<std::size_t> order =
        options.before != nullptr ? gauges_before(*options.before, survey) : std::vector<std::size_t>{};
    std::vector<std::unique_ptr<Hypothesis>> found(count);
    std::atomic<std::size_t> done = 0;
    std::atomic<bool> stop = false;
    const auto threads = at(options.threads > 0 ? options.threads : default_threads());
    in_parallel(threads, count, [&](std::size_t worker, std::size_t i) {
        if (stop) return;
        if (order.empty())
            responses[i] = find_response(survey, priors, diagnosis.sites[i], healthy);
        else if (options.before->responses[i])
            responses[i] = options.before->responses[i]->reordered(order);
        if (responses[i])
            found[i] = one_fault(diagnosis.sites[i], *responses[i], healthy, evidence,
                                 weights.one_fault * diagnosis.sites[i].weight);
        ++done;
        if (worker == 0 && options.progress && !options.progress(done, count)) stop = true;
    });
    diagnosis.stopped = stop;
    if (priors.as_drawn > 0) diagnosis.hypotheses.push_back(as_drawn(healthy, evidence, weights.as_drawn));
    for (auto& hypothesis : found)
        if (hypothesis) diagnosis.hypotheses.push_back(std::move(*hypothesis));
    if (options.pairs && !stop && weights.two_faults > 0 && !explained(diagnosis.hypotheses, evidence)) {
        if (options.before_pairs) options.before_pairs();
        for (Hypothesis& pair : two_faults(survey, priors, diagnosis.sites, responses, healthy, evidence,
                                           weights.two_faults, threads))
            diagnosis.hypotheses.push_back(std::move(pair));
    }
    weigh(diagnosis, system, weights.unexplained, log_unexplained(survey, evidence, healthy, priors));
    diagnosis.groups = make_groups(diagnosis.hypotheses, evidence);
    diagnosis.next = next_readings(diagnosis, evidence);
    note_bad_readings(diagnosis, evidence);
    return diagnosis;
}

}  // namespace evenhead::solver
