#include "solver/diagnosis/calibration.hpp"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <stdexcept>

#include "model/position.hpp"
#include "solver/diagnosis/faulty_system.hpp"
#include "solver/diagnosis/gauges.hpp"
#include "solver/parallel.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

using Kind = Input::Kind;
using Selection = std::vector<std::size_t>;  // candidate of each choice

constexpr double huber = 3;               // standard deviations
constexpr double farthest = 5;            // an input strays no further, in its own standard deviations
constexpr double determined_below = 0.5;  // of the standard deviation before

/// Only what was read, in the situations in which it was read.
Survey read_only(Survey survey) {
    survey.gauges.resize(survey.readings);
    if (survey.readings == 0) return survey;
    std::vector<Situation> kept;
    std::vector<std::size_t> position(survey.situations.size(), 0);
    for (std::size_t i = 0; i < survey.situations.size(); ++i) {
        if (std::none_of(survey.gauges.begin(), survey.gauges.end(),
                         [&](const Gauge& gauge) { return gauge.situation == i; }))
            continue;
        position[i] = kept.size();
        kept.push_back(survey.situations[i]);
    }
    for (Gauge& gauge : survey.gauges) gauge.situation = position[gauge.situation];
    survey.situations = std::move(kept);
    return survey;
}

/// Rows of the part, as the whole counts them, and back (rows that the part leaves out go).
std::vector<Index> mapped(const std::vector<Index>& rows, const std::vector<Index>& to) {
    std::vector<Index> result;
    for (const Index row : rows)
        if (to[at(row)] != model::none) result.push_back(to[at(row)]);
    return result;
}
const std::vector<Index>* table_of(const model::Part& part, Kind kind, bool to_whole) {
    switch (kind) {
        case Kind::pipe_c:
        case Kind::pipe_roughness:
        case Kind::pipe_bore:
        case Kind::pipe_length:
        case Kind::pipe_loss:
            return to_whole ? &part.pipe : &part.pipe_of;
        case Kind::joint:
        case Kind::head_set:
            return to_whole ? &part.head : &part.head_of;
        case Kind::elevation:
            return to_whole ? &part.point : &part.point_of;
        default:
            return nullptr;  // supplies, nozzles, devices, valves keep their positions
    }
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

class Fit {
  public:
    Fit(const Filled& filled, const CalibrationOptions& options)
        : filled_(filled), threads_(at(options.threads > 0 ? options.threads : default_threads())) {
        std::vector<Index> unused;
        survey_ = read_only(plan_survey(filled.system, filled.layout, options.complaint, unused));
        inputs_ = uncertain_inputs(survey_.part.system);
        for (const Choice& choice : filled.choices)
            choice_rows_.push_back(mapped(choice.rows, choice.what == Choice::What::size
                                                           ? survey_.part.pipe_of
                                                           : survey_.part.head_of));
        const auto readings = static_cast<Eigen::Index>(survey_.readings);
        measured_.resize(readings);
        deviation_.resize(readings);
        for (Eigen::Index i = 0; i < readings; ++i) {
            measured_[i] = survey_.gauges[static_cast<std::size_t>(i)].measured;
            deviation_[i] = survey_.gauges[static_cast<std::size_t>(i)].deviation;
        }
    }

    struct Point {
        Eigen::VectorXd changes;    // z
        Eigen::VectorXd residuals;  // (r - y) / s
        double objective = std::numeric_limits<double>::infinity();
        Eigen::MatrixXd precision;  // J^T W J + 1
        double log_weight = -std::numeric_limits<double>::infinity();
    };

    /// The least of F with these candidates, from `start`; no objective where there is no solution.
    Point least(const Selection& selection, const Eigen::VectorXd& start) const {
        const Survey survey = selected(selection);
        Point best = point_at(survey, start);
        if (!std::isfinite(best.objective)) return best;
        if (inputs_.empty()) {
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

    Eigen::Index input_count() const { return static_cast<Eigen::Index>(inputs_.size()); }
    const std::vector<Input>& inputs() const { return inputs_; }
    const Survey& survey() const { return survey_; }
    bool concerns(std::size_t choice) const { return !choice_rows_[choice].empty(); }

  private:
    Survey selected(const Selection& selection) const {
        Survey survey = survey_;
        for (std::size_t i = 0; i < selection.size(); ++i)
            select(survey.part.system, filled_.choices[i], choice_rows_[i], selection[i]);
        return survey;
    }

    /// (r - y) / s with the inputs changed; empty where there is no solution.
    std::optional<Eigen::VectorXd> residuals_at(const Survey& survey, const Eigen::VectorXd& changes) const {
        Survey moved = survey;
        bool raised = false;
        for (std::size_t i = 0; i < inputs_.size(); ++i) {
            const double z = changes[static_cast<Eigen::Index>(i)];
            if (z == 0) continue;
            change_input(moved.part.system, inputs_[i], z * inputs_[i].deviation);
            raised = raised || inputs_[i].kind == Kind::elevation;
        }
        if (raised) moved.layout = model::find_layout(moved.part.system);
        const Healthy answer = FaultySystem::healthy(moved, model::fault_priors());
        Eigen::VectorXd residuals(measured_.size());
        for (const auto& result : answer.results)
            if (!result) return std::nullopt;
        for (Eigen::Index i = 0; i < measured_.size(); ++i) {
            residuals[i] = (measured_[i] - answer.shown[static_cast<std::size_t>(i)]) / deviation_[i];
            if (!std::isfinite(residuals[i])) return std::nullopt;
        }
        return residuals;
    }

    Point point_at(const Survey& survey, const Eigen::VectorXd& changes) const {
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

    static Eigen::VectorXd weights_of(const Eigen::VectorXd& residuals) {
        return residuals.unaryExpr([](double u) { return std::abs(u) <= huber ? 1 : huber / std::abs(u); });
    }

    /// d(y / s) / dz.
    Eigen::MatrixXd slopes_at(const Survey& survey, const Point& point) const {
        constexpr double step = 1e-2;
        Eigen::MatrixXd slopes = Eigen::MatrixXd::Zero(measured_.size(), input_count());
        in_parallel(threads_, inputs_.size(), [&](std::size_t, std::size_t i) {
            const auto column = static_cast<Eigen::Index>(i);
            Eigen::VectorXd up = point.changes, down = point.changes;
            up[column] += step;
            down[column] -= step;
            const auto above = residuals_at(survey, up), below = residuals_at(survey, down);
            if (above && below) slopes.col(column) = (*below - *above) / (2 * step);
        });
        return slopes;
    }

    const Filled& filled_;
    std::size_t threads_;
    Survey survey_;
    std::vector<Input> inputs_;                    // of the part
    std::vector<std::vector<Index>> choice_rows_;  // of the part
    Eigen::VectorXd measured_, deviation_;
};

/// Goes through the candidates: in all combinations, or one choice after the other.
class Search {
  public:
    Search(const Fit& fit, const Filled& filled, const CalibrationOptions& options)
        : fit_(fit), choices_(filled.choices), options_(options), chances_(choices_.size()) {
        for (std::size_t i = 0; i < choices_.size(); ++i) {
            best_.push_back(choices_[i].count() / 2);
            chances_[i].assign(choices_[i].count(), -std::numeric_limits<double>::infinity());
            if (fit.concerns(i)) open_.push_back(i);
        }
    }

    Fit::Point find() {
        Fit::Point best = try_out(best_, Eigen::VectorXd::Zero(fit_.input_count()));
        double combinations = 1;
        for (const std::size_t i : open_) combinations *= static_cast<double>(choices_[i].count());
        constexpr double few = 200;
        if (!open_.empty() && combinations <= few)
            all_combinations(best);
        else if (!open_.empty())
            one_by_one(best);
        for (std::size_t i = 0; i < choices_.size(); ++i) normalise(chances_[i]);
        return best;
    }

    const Selection& selection() const { return best_; }
    const std::vector<std::vector<double>>& chances() const { return chances_; }

  private:
    Fit::Point try_out(const Selection& selection, const Eigen::VectorXd& start) {
        if (options_.progress) options_.progress(++tried_, 0);
        Fit::Point point = fit_.least(selection, start);
        // From where another candidate ended there may be no way.
        if (!std::isfinite(point.objective) && start.squaredNorm() > 0)
            point = fit_.least(selection, Eigen::VectorXd::Zero(fit_.input_count()));
        return point;
    }
    void take_if_better(Fit::Point& best, Fit::Point&& other, const Selection& selection) {
        if (!(other.log_weight > best.log_weight)) return;
        best = std::move(other);
        best_ = selection;
    }
    static void add(double& sum, double log_weight) {
        const double most = std::max(sum, log_weight);
        if (std::isfinite(most)) sum = most + std::log(std::exp(sum - most) + std::exp(log_weight - most));
    }

    void all_combinations(Fit::Point& best) {
        Selection selection = best_;
        for (const std::size_t i : open_) selection[i] = 0;
        while (true) {
            Fit::Point point = try_out(selection, best.changes);
            for (const std::size_t i : open_) add(chances_[i][selection[i]], point.log_weight);
            take_if_better(best, std::move(point), selection);
            std::size_t digit = 0;
            while (digit < open_.size() && ++selection[open_[digit]] == choices_[open_[digit]].count())
                selection[open_[digit++]] = 0;
            if (digit == open_.size()) return;
        }
    }

    void one_by_one(Fit::Point& best) {
        constexpr int most_rounds = 6;
        for (int round = 0; round < most_rounds; ++round) {
            const Selection before = best_;
            for (const std::size_t i : open_) {
                std::vector<double>& chances = chances_[i];
                Selection selection = best_;
                for (selection[i] = 0; selection[i] < choices_[i].count(); ++selection[i]) {
                    Fit::Point point = try_out(selection, best.changes);
                    chances[selection[i]] = point.log_weight;
                    take_if_better(best, std::move(point), selection);
                }
            }
            if (best_ == before) return;
        }
    }

    static void normalise(std::vector<double>& logs) {
        const double most = logs.empty() ? 0 : *std::max_element(logs.begin(), logs.end());
        double sum = 0;
        // Where nothing was read that it touches, all are alike.
        for (double& log : logs) sum += log = std::isfinite(most) ? std::exp(log - most) : 1;
        for (double& chance : logs) chance /= sum;
    }

    const Fit& fit_;
    const std::vector<Choice>& choices_;
    const CalibrationOptions& options_;
    std::vector<std::size_t> open_;  // choices that a reading may tell of
    Selection best_;
    std::vector<std::vector<double>> chances_;  // logarithms until they are normalised
    std::size_t tried_ = 0;
};

bool shares_a_row(const Input& one, const Input& asked) {
    return one.kind == asked.kind &&
           std::find(asked.rows.begin(), asked.rows.end(), one.rows.front()) != asked.rows.end();
}

/// The bore of pipes whose size stays in doubt strays as the candidates do.
void keep_doubt(model::System& system, const CalibratedChoice& choice) {
    if (choice.choice.what != Choice::What::size) return;
    const std::vector<model::PipeSize>& sizes = choice.choice.sizes;
    const double best = sizes[choice.best].bore.value;
    double variance = 0;
    for (std::size_t i = 0; i < sizes.size(); ++i)
        variance += choice.chances[i] * (sizes[i].bore.value - best) * (sizes[i].bore.value - best);
    for (const Index row : choice.choice.rows)
        system.pipes[at(row)].size.edit().bore.deviation = std::min(std::sqrt(variance), best / 3);
}

}  // namespace

Calibration calibrate(Filled filled, const CalibrationOptions& options) {
    const Fit fit(filled, options);
    Search search(fit, filled, options);
    const Fit::Point point = search.find();
    if (!std::isfinite(point.objective))
        throw std::invalid_argument("with no value of what is not known has a run that was read a solution");

    Calibration result;
    result.readings = fit.survey().readings;
    result.chi_squared = point.residuals.squaredNorm();
    for (std::size_t i = 0; i < filled.choices.size(); ++i) {
        CalibratedChoice choice{filled.choices[i], search.chances()[i], search.selection()[i], false};
        choice.determined = choice.chances[choice.best] >= sure_choice;
        select(filled.system, choice.choice, choice.choice.rows, choice.best);
        result.choices.push_back(std::move(choice));
    }

    Eigen::MatrixXd covariance;
    if (fit.input_count() > 0)
        covariance =
            point.precision.ldlt().solve(Eigen::MatrixXd::Identity(fit.input_count(), fit.input_count()));
    const model::Part& part = fit.survey().part;
    for (std::size_t i = 0; i < fit.inputs().size(); ++i) {
        const auto row = static_cast<Eigen::Index>(i);
        CalibratedInput input;
        input.input = fit.inputs()[i];
        if (const auto* table = table_of(part, input.input.kind, true))
            input.input.rows = mapped(input.input.rows, *table);
        input.asked = std::any_of(filled.asked.begin(), filled.asked.end(),
                                  [&](const Input& asked) { return shares_a_row(input.input, asked); });
        input.after = input.input.value + point.changes[row] * input.input.deviation;
        input.deviation = std::sqrt(covariance(row, row)) * input.input.deviation;
        input.determined = input.deviation <= determined_below * input.input.deviation;
        if (input.asked) change_input(filled.system, input.input, input.after - input.input.value);
        result.inputs.push_back(std::move(input));
    }
    // What lies in zones that were not read.
    for (const Input& asked : filled.asked) {
        if (std::none_of(result.inputs.begin(), result.inputs.end(),
                         [&](const CalibratedInput& other) { return shares_a_row(other.input, asked); }))
            result.inputs.push_back({asked, true, asked.value, asked.deviation, false});
    }
    for (const CalibratedChoice& choice : result.choices) keep_doubt(filled.system, choice);
    result.layout = model::find_layout(filled.system);
    result.system = std::move(filled.system);
    return result;
}

}  // namespace evenhead::solver
