// The probabilities of a diagnosis against an exhaustive reference on the same candidates, written from the
// formulas at the heads of hypothesis.hpp and likelihood_parts.hpp without any of that code: every severity
// balanced (no curve between a few), every wrong reading by a covariance of its own (no update of an
// inverse). Faults are planted and read with noise, seeded.
#include <gtest/gtest.h>

#include <Eigen/Dense>

#include <cmath>
#include <numbers>
#include <optional>
#include <random>

#include "solver/diagnosis/diagnosis.hpp"
#include "solver/diagnosis/gauges.hpp"
#include "solver/inputs/inputs.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::solver {
namespace {

using model::none;
using model::Quantity;

constexpr double psi = 6894.757293168361;
constexpr int severities = 120;

model::System park() {
    test::SystemBuilder build;
    build.supply("street", 450e3).tests = {{{1.5e-3, 0}, {400e3, 0}}};
    build.system.supplies.front().static_pressure.deviation = 8e3;
    build.device("meter", model::DeviceType::meter).loss = {model::LossKind::cv, {30, 0}, {}, {}, false};
    build.valve("lawn", 20);
    build.valve("beds", 20);
    build.nozzle(200e3, 1.5e-4);
    for (const char* id : {"H1", "H2", "H3", "H4", "B1", "B2"}) build.head(id);
    build.line({"street", "meter", "T"}, 40, 0.03);
    for (model::Pipe& pipe : build.system.pipes) pipe.size.edit().c = {130, 8};
    build.line({"T", "lawn", "H1", "H2", "H3", "H4"}, 12, 0.024);
    build.line({"T", "beds", "B1", "B2"}, 12, 0.024);
    for (model::Point& point : build.system.points) point.elevation = Quantity{0, 0};
    build.default_runs();
    const auto read = [&](const std::string& id, bool flow, double deviation) {
        model::Reading reading;
        reading.run = 0;
        reading.point = build.point(id);
        (flow ? reading.flow : reading.pressure) = Quantity{1, deviation};
        build.system.readings.push_back(reading);
    };
    read("H1", false, psi);
    read("H4", false, psi);
    read("meter", true, 1.8e-5);
    read("H2", false, psi);
    return build.system;
}

class Reference {
  public:
    explicit Reference(const Survey& survey)
        : survey_(survey), priors_(model::fault_priors()), healthy_(FaultySystem::healthy(survey, priors_)) {
        const auto n = static_cast<Eigen::Index>(survey.readings);
        drift_ = Eigen::MatrixXd::Zero(n, n);
        for (const Input& input : uncertain_inputs(survey.part.system)) {
            Survey moved = survey;
            change_input(moved.part.system, input, input.deviation);
            const Healthy there = FaultySystem::healthy(moved, priors_);
            Eigen::VectorXd change(n);
            for (Eigen::Index i = 0; i < n; ++i)
                change[i] =
                    there.shown[static_cast<std::size_t>(i)] - healthy_.shown[static_cast<std::size_t>(i)];
            drift_ += change * change.transpose();
        }
    }

    const Healthy& healthy() const { return healthy_; }

    /// What the gauges show at each severity that balances and somebody would notice.
    std::vector<std::vector<double>> shown(const Site& site) const {
        const bool second = site.kind == FaultKind::second_zone_on;
        const Survey survey = second ? with_zone(survey_, site.at.index) : survey_;
        const Site* const faults[] = {&site};
        FaultySystem system(survey, priors_, faults, &healthy_);
        std::vector<std::vector<double>> all;
        for (int i = 0; system.possible() && i < (second ? 1 : severities); ++i) {
            const double rank[] = {second ? 0 : (i + 0.5) / severities};
            auto answer = system.solve(rank);
            if (answer.solved && noticed_by_somebody(answer.shown)) all.push_back(std::move(answer.shown));
        }
        return all;
    }

    /// ln p(r | y) with the gauges' own spreads so many times as large.
    double log_likelihood(const std::vector<double>& shown, double times = 1) const {
        const auto n = drift_.rows();
        const double bad = priors_.bad_reading;
        double sum = (1 - static_cast<double>(n) * bad) * normal(shown, times, none);
        for (Eigen::Index i = 0; i < n; ++i) sum += bad * normal(shown, times, static_cast<int>(i));
        return std::log(std::max(sum, 1e-300));
    }

  private:
    bool noticed_by_somebody(const std::vector<double>& shown) const {
        for (std::size_t i = 0; i < shown.size(); ++i)
            if (std::abs(shown[i] - healthy_.shown[i]) >= 3 * survey_.gauges[i].deviation) return true;
        return false;
    }

    double normal(const std::vector<double>& shown, double times, int wrong) const {
        Eigen::MatrixXd covariance = drift_;
        Eigen::VectorXd off(drift_.rows());
        for (Eigen::Index i = 0; i < off.size(); ++i) {
            const Gauge& gauge = survey_.gauges[static_cast<std::size_t>(i)];
            const double spread = gauge.deviation * times * (i == wrong ? priors_.bad_reading_spread : 1);
            covariance(i, i) += spread * spread;
            off[i] = gauge.measured - shown[static_cast<std::size_t>(i)];
        }
        // In units of each reading: pressures and flows are of very different size.
        const Eigen::VectorXd scale = covariance.diagonal().cwiseSqrt();
        const Eigen::MatrixXd even =
            scale.cwiseInverse().asDiagonal() * covariance * scale.cwiseInverse().asDiagonal();
        const Eigen::VectorXd z = off.cwiseQuotient(scale);
        const Eigen::FullPivLU<Eigen::MatrixXd> factor(even);
        const double exponent = -0.5 * z.dot(factor.solve(z));
        return std::exp(exponent) / std::sqrt(factor.determinant()) / unit(scale);
    }
    /// Densities of flows are counted per 1e-5 m3/s and those of pressures per psi, so that none leaves the
    /// range of double; the same for all.
    double unit(const Eigen::VectorXd& scale) const {
        double product = 1;
        for (Eigen::Index i = 0; i < scale.size(); ++i)
            product *= scale[i] / (survey_.gauges[static_cast<std::size_t>(i)].flow ? 1e-5 : psi) *
                       std::sqrt(2 * std::numbers::pi);
        return product;
    }

    const Survey& survey_;
    const model::FaultPriors& priors_;
    Healthy healthy_;
    Eigen::MatrixXd drift_;
};

/// By site, then as drawn, then unexplained: the weights of all answers after the readings.
std::vector<double> reference_posterior(const Survey& survey, const std::vector<Site>& sites) {
    const Reference reference(survey);
    const model::FaultPriors& priors = model::fault_priors();
    std::vector<double> weights;
    for (const Site& site : sites) {
        double sum = 0;
        const auto all = reference.shown(site);
        for (const auto& shown : all) sum += std::exp(reference.log_likelihood(shown));
        weights.push_back(all.empty() ? 0 : site.weight * sum / static_cast<double>(all.size()));
    }
    weights.push_back(priors.as_drawn * std::exp(reference.log_likelihood(reference.healthy().shown)));
    constexpr double wide = 10;
    weights.push_back(priors.unexplained *
                      std::exp(reference.log_likelihood(reference.healthy().shown, wide)));
    double sum = 0;
    for (const double weight : weights) sum += weight;
    for (double& weight : weights) weight /= sum;
    return weights;
}

TEST(ExhaustiveReference, LogScoresAreWithinATenthOfANat) {
    const model::System drawn = park();
    const model::Layout layout = model::find_layout(drawn);
    std::vector<Index> unused;
    const Survey plan = plan_survey(drawn, layout, 0, unused);
    const Reference planting(plan);
    const std::vector<Site> sites =
        fault_sites(plan.part.system, plan.layout, model::fault_priors(), plan.read_zones, {0});
    std::mt19937_64 random(6);
    std::normal_distribution<double> noise;
    double ours = 0, theirs = 0, worst = 0;
    int cases = 0;
    for (std::size_t planted = 0; planted < sites.size(); planted += 3) {
        const auto truths = planting.shown(sites[planted]);
        if (truths.empty()) continue;
        const std::vector<double>& truth = truths[random() % truths.size()];
        model::System system = drawn;
        for (std::size_t i = 0; i < system.readings.size(); ++i) {
            Quantity& number =
                system.readings[i].flow ? *system.readings[i].flow : *system.readings[i].pressure;
            number.value = std::max(0.0, truth[i] + number.deviation * noise(random));
        }
        DiagnosisOptions options;
        options.threads = 2;
        options.pairs = false;
        const Diagnosis found = diagnose(system, layout, options);
        const std::vector<double> expected = reference_posterior(found.survey, found.sites);
        // The group that holds what was planted, or where it was put with what is next to impossible, that
        // alone.
        double here = 1e-6, there = 1e-6;
        for (const Group& group : found.groups) {
            double sum = 0;
            bool holds = false;
            for (const std::size_t member : group.members) {
                const Hypothesis& of = found.hypotheses[member];
                const std::size_t row = of.faults.empty()
                                            ? found.sites.size()
                                            : static_cast<std::size_t>(of.faults[0] - found.sites.data());
                sum += expected[row];
                worst = std::max(worst, std::abs(of.probability - expected[row]));
                holds = holds ||
                        (!of.faults.empty() && of.faults[0]->kind == sites[planted].kind &&
                         of.faults[0]->at == sites[planted].at && of.faults[0]->rows == sites[planted].rows);
            }
            if (holds) {
                here = std::max(here, group.probability);
                there = std::max(there, sum);
            }
        }
        ++cases;
        ours += std::log(here);
        theirs += std::log(there);
        EXPECT_NEAR(found.unexplained, expected.back(), 0.02);
    }
    EXPECT_GE(cases, 12);
    EXPECT_NEAR(ours / cases, theirs / cases, 0.1);
    EXPECT_LT(worst, 0.05);
    std::printf(
        "%d cases: log score %.3f, of the reference %.3f; largest difference of one probability %.4f\n",
        cases, ours / cases, theirs / cases, worst);
}

}  // namespace
}  // namespace evenhead::solver
