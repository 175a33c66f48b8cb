#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/diagnosis/fit_parts.hpp"
#include "solver/diagnosis/gauges.hpp"
#include "solver/parallel.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

constexpr double huber = 3;     // standard deviations
constexpr double farthest = 5;  // an input strays no further, in its own standard deviations
constexpr double rank_deviation = 0.28867513459481287;  // of what is spread evenly over 0..1

/// Only what was read, in the situations in which it was read; the one complained of stays first.
Survey read_only(Survey survey) {
    survey.gauges.resize(survey.readings);
    if (survey.readings == 0) return survey;
    std::vector<Situation> kept;
    std::vector<std::size_t> position(survey.situations.size(), 0);
    for (std::size_t i = 0; i < survey.situations.size(); ++i) {
        if (i > 0 && std::none_of(survey.gauges.begin(), survey.gauges.end(),
                                  [&](const Gauge& gauge) { return gauge.situation == i; }))
            continue;
        position[i] = kept.size();
        kept.push_back(survey.situations[i]);
    }
    for (Gauge& gauge : survey.gauges) gauge.situation = position[gauge.situation];
    survey.situations = std::move(kept);
    return survey;
}

Eigen::VectorXd weights_of(const Eigen::VectorXd& residuals) {
    return residuals.unaryExpr([](double u) { return std::abs(u) <= huber ? 1 : huber / std::abs(u); });
}

}  // namespace

std::vector<Index> mapped(const std::vector<Index>& rows, const std::vector<Index>& to) {
    std::vector<Index> result;
    for (const Index row : rows)
        if (to[at(row)] != model::none) result.push_back(to[at(row)]);
    return result;
}
void select(model::System& system, const Choice& choice, const std::vector<Index>& rows,
            std::size_t candidate) {
    for (const Index row : rows) {
        if (choice.what == Choice::What::nozzle) {
            system.heads[at(row)].nozzle = choice.nozzles[candidate];
            continue;
        }
        // C and roughness are inputs of their own, and stay.
        model::PipeSize size = choice.sizes[candidate];
        const model::PipeSize& before = *system.pipes[at(row)].size;
        size.c = before.c;
        size.roughness = before.roughness;
        if (before.rating.has_value()) size.rating = before.rating;
        system.pipes[at(row)].size.edit() = std::move(size);
    }
}

Fit::Fit(const Filled& filled, const CalibrationOptions& options)
    : filled_(filled),
      priors_(options.priors != nullptr ? *options.priors : model::fault_priors()),
      threads_(at(options.threads > 0 ? options.threads : default_threads())) {
    std::vector<Index> unused;
    if (options.explanation != nullptr) {
        // Its places are those of the part that the diagnosis looked at.
        faults_ = options.explanation->faults;
        ranks_ = options.explanation->ranks;
        survey_ = *options.survey;
        survey_.part = model::part_of(filled.system, filled.layout, survey_.zones);
        survey_.layout = model::find_layout(survey_.part.system);
        survey_ = read_only(std::move(survey_));
    } else {
        survey_ = read_only(plan_survey(filled.system, filled.layout, options.complaint, unused));
    }
    inputs_ = uncertain_inputs(survey_.part.system);
    for (const Choice& choice : filled.choices)
        choice_rows_.push_back(mapped(
            choice.rows, choice.what == Choice::What::size ? survey_.part.pipe_of : survey_.part.head_of));
    const auto readings = static_cast<Eigen::Index>(survey_.readings);
    measured_.resize(readings);
    deviation_.resize(readings);
    for (Eigen::Index i = 0; i < readings; ++i) {
        measured_[i] = survey_.gauges[static_cast<std::size_t>(i)].measured;
        deviation_[i] = survey_.gauges[static_cast<std::size_t>(i)].deviation;
    }
}

Eigen::VectorXd Fit::first() const {
    Eigen::VectorXd z = Eigen::VectorXd::Zero(size());
    for (std::size_t i = 0; i < ranks_.size(); ++i)
        z[static_cast<Eigen::Index>(inputs_.size() + i)] = (ranks_[i] - 0.5) / rank_deviation;
    return z;
}

Fit::Point Fit::least(const Candidates& selection, const Eigen::VectorXd& start) const {
    const Survey survey = selected(selection);
    Point best = point_at(survey, start);
    if (!std::isfinite(best.objective)) return best;
    if (size() == 0) {
        best.log_weight = -best.objective / 2;
        return best;
    }
    double damping = 1e-3;
    constexpr int most_steps = 30;
    constexpr double settled = 1e-8;
    Eigen::MatrixXd slopes;
    for (int step = 0; step < most_steps; ++step) {
        slopes = slopes_at(survey, best);
        const Eigen::VectorXd weights = weights_of(best.residuals);
        Eigen::MatrixXd curvature = slopes.transpose() * weights.asDiagonal() * slopes;
        curvature.diagonal().array() += 1;
        // -1/2 dF/dz: the residual falls where y rises.
        const Eigen::VectorXd downhill =
            slopes.transpose() * weights.cwiseProduct(best.residuals) - best.changes;
        best.precision = curvature;
        bool moved = false;
        double gained = 0;
        for (int attempt = 0; attempt < 12 && !moved; ++attempt, damping *= 6) {
            Eigen::MatrixXd damped = curvature;
            damped.diagonal() *= 1 + damping;
            const Eigen::VectorXd change = damped.ldlt().solve(downhill);
            const Eigen::VectorXd there = (best.changes + change).cwiseMax(-farthest).cwiseMin(farthest);
            Point next = point_at(survey, there);
            if (!(next.objective < best.objective)) continue;
            gained = best.objective - next.objective;
            next.precision = best.precision;
            best = std::move(next);
            moved = true;
        }
        damping = std::max(1e-9, damping / 50);
        if (!moved || gained < settled) break;
    }
    slopes = slopes_at(survey, best);
    best.precision = slopes.transpose() * weights_of(best.residuals).asDiagonal() * slopes;
    best.precision.diagonal().array() += 1;
    best.log_weight = -best.objective / 2 - best.precision.ldlt().vectorD().array().log().sum() / 2;
    return best;
}

Survey Fit::selected(const Candidates& selection) const {
    Survey survey = survey_;
    for (std::size_t i = 0; i < selection.size(); ++i)
        select(survey.part.system, filled_.choices[i], choice_rows_[i], selection[i]);
    return survey;
}

/// (r - y) / s with the inputs changed; empty where there is no solution.
std::optional<Eigen::VectorXd> Fit::residuals_at(const Survey& survey, const Eigen::VectorXd& changes) const {
    Survey moved = survey;
    bool raised = false;
    for (std::size_t i = 0; i < inputs_.size(); ++i) {
        const double z = changes[static_cast<Eigen::Index>(i)];
        if (z == 0) continue;
        change_input(moved.part.system, inputs_[i], z * inputs_[i].deviation);
        raised = raised || inputs_[i].kind == Input::Kind::elevation;
    }
    if (raised) moved.layout = model::find_layout(moved.part.system);
    const std::vector<double> shown = shown_by(moved, changes);
    if (shown.empty() && measured_.size() > 0) return std::nullopt;
    Eigen::VectorXd residuals(measured_.size());
    for (Eigen::Index i = 0; i < measured_.size(); ++i) {
        residuals[i] = (measured_[i] - shown[static_cast<std::size_t>(i)]) / deviation_[i];
        if (!std::isfinite(residuals[i])) return std::nullopt;
    }
    return residuals;
}

/// By gauge, with the faults; empty where there is no solution.
std::vector<double> Fit::shown_by(const Survey& survey, const Eigen::VectorXd& changes) const {
    const Healthy healthy = FaultySystem::healthy(survey, priors_);
    for (const auto& result : healthy.results)
        if (!result) return {};
    if (faults_.empty()) return healthy.shown;
    FaultySystem faulty(survey, priors_, faults_, &healthy);
    if (!faulty.possible()) return {};
    std::vector<double> ranks;
    for (auto i = static_cast<Eigen::Index>(inputs_.size()); i < size(); ++i)
        ranks.push_back(std::clamp(0.5 + rank_deviation * changes[i], 0.0, 1.0));
    FaultySystem::Answer answer = faulty.solve(ranks);
    return answer.solved ? std::move(answer.shown) : std::vector<double>();
}

Fit::Point Fit::point_at(const Survey& survey, const Eigen::VectorXd& changes) const {
    Point point;
    point.changes = changes;
    const auto residuals = residuals_at(survey, changes);
    if (!residuals) return point;
    point.residuals = *residuals;
    point.objective = changes.squaredNorm();
    for (const double u : point.residuals)
        point.objective += std::abs(u) <= huber ? u * u : 2 * huber * std::abs(u) - huber * huber;
    return point;
}

/// d(y / s) / dz.
Eigen::MatrixXd Fit::slopes_at(const Survey& survey, const Point& point) const {
    constexpr double step = 1e-2;
    Eigen::MatrixXd slopes = Eigen::MatrixXd::Zero(measured_.size(), size());
    in_parallel(threads_, at(static_cast<int>(size())), [&](std::size_t, std::size_t i) {
        const auto column = static_cast<Eigen::Index>(i);
        Eigen::VectorXd up = point.changes, down = point.changes;
        up[column] += step;
        down[column] -= step;
        const auto above = residuals_at(survey, up), below = residuals_at(survey, down);
        if (above && below) slopes.col(column) = (*below - *above) / (2 * step);
    });
    return slopes;
}

}  // namespace evenhead::solver
