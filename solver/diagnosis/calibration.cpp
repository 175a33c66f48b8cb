#include "solver/diagnosis/calibration.hpp"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "model/position.hpp"
#include "solver/diagnosis/fit_parts.hpp"

namespace evenhead::solver {
namespace {

using Kind = Input::Kind;

constexpr double determined_below = 0.5;  // of the standard deviation before

/// The rows of the whole by those of the part, for this kind; null where both are the same.
const std::vector<Index>* table_of(const model::Part& part, Kind kind) {
    switch (kind) {
        case Kind::pipe_c:
        case Kind::pipe_roughness:
        case Kind::pipe_bore:
        case Kind::pipe_length:
        case Kind::pipe_loss:
            return &part.pipe;
        case Kind::joint:
        case Kind::head_set:
            return &part.head;
        case Kind::elevation:
            return &part.point;
        default:
            return nullptr;  // supplies, nozzles, devices, valves keep their positions
    }
}

/// Goes through the candidates: in all combinations, or one choice after the other.
class Search {
  public:
    Search(const Fit& fit, const Filled& filled)
        : fit_(fit), choices_(filled.choices), chances_(choices_.size()) {
        for (std::size_t i = 0; i < choices_.size(); ++i) {
            best_.push_back(choices_[i].count() / 2);
            chances_[i].assign(choices_[i].count(), -std::numeric_limits<double>::infinity());
            if (fit.concerns(i)) open_.push_back(i);
        }
    }

    Fit::Point find() {
        Fit::Point best = try_out(best_, fit_.first());
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

    const Candidates& selection() const { return best_; }
    const std::vector<std::vector<double>>& chances() const { return chances_; }

  private:
    Fit::Point try_out(const Candidates& selection, const Eigen::VectorXd& start) const {
        Fit::Point point = fit_.least(selection, start);
        // From where another candidate ended there may be no way.
        if (!std::isfinite(point.objective) && start != fit_.first())
            point = fit_.least(selection, fit_.first());
        return point;
    }
    void take_if_better(Fit::Point& best, Fit::Point&& other, const Candidates& selection) {
        if (!(other.log_weight > best.log_weight)) return;
        best = std::move(other);
        best_ = selection;
    }
    static void add(double& sum, double log_weight) {
        const double most = std::max(sum, log_weight);
        if (std::isfinite(most)) sum = most + std::log(std::exp(sum - most) + std::exp(log_weight - most));
    }

    void all_combinations(Fit::Point& best) {
        Candidates selection = best_;
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
            const Candidates before = best_;
            for (const std::size_t i : open_) {
                std::vector<double>& chances = chances_[i];
                Candidates selection = best_;
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
    std::vector<std::size_t> open_;  // choices that a reading may tell of
    Candidates best_;
    std::vector<std::vector<double>> chances_;  // logarithms until they are normalised
};

/// 99.9 % of chi-squared with n degrees of freedom, by Wilson and Hilferty (1931).
double most_by_chance(std::size_t readings) {
    const auto n = static_cast<double>(std::max<std::size_t>(readings, 1));
    const double part = 2 / (9 * n), root = 1 - part + 3.09 * std::sqrt(part);
    return n * root * root * root;
}

bool shares_a_row(const Input& one, const Input& asked) {
    return one.kind == asked.kind &&
           std::find(asked.rows.begin(), asked.rows.end(), one.rows.front()) != asked.rows.end();
}

/// The bore of pipes whose size stays in doubt strays as the candidates do. Where nothing fits, the next
/// candidate is in doubt too, however little the chances say so.
void keep_doubt(model::System& system, const CalibratedChoice& choice, bool fits) {
    if (choice.choice.what != Choice::What::size) return;
    const std::vector<model::PipeSize>& sizes = choice.choice.sizes;
    const double best = sizes[choice.best].bore.value;
    double variance = 0, step = best;
    for (std::size_t i = 0; i < sizes.size(); ++i) {
        const double off = std::abs(sizes[i].bore.value - best);
        variance += choice.chances[i] * off * off;
        if (off > 0) step = std::min(step, off);
    }
    const double deviation = std::max(std::sqrt(variance), fits ? 0 : step / 2);
    for (const Index row : choice.choice.rows)
        system.pipes[at(row)].size.edit().bore.deviation = std::min(deviation, best / 3);
}

}  // namespace

bool can_calibrate(const Hypothesis& explanation) {
    return std::none_of(explanation.faults.begin(), explanation.faults.end(),
                        [](const Site* site) { return site->kind == FaultKind::second_zone_on; });
}

Calibration calibrate(Filled filled, const CalibrationOptions& options) {
    const Fit fit(filled, options);
    Search search(fit, filled);
    const Fit::Point point = search.find();
    if (!std::isfinite(point.objective))
        throw std::invalid_argument("with no value of what is not known has a run that was read a solution");

    Calibration result;
    result.readings = fit.survey().readings;
    result.chi_squared = point.residuals.squaredNorm();
    result.fits = result.chi_squared <= most_by_chance(result.readings);
    for (std::size_t i = 0; i < filled.choices.size(); ++i) {
        CalibratedChoice choice{filled.choices[i], search.chances()[i], search.selection()[i], false};
        choice.determined = result.fits && choice.chances[choice.best] >= sure_choice;
        select(filled.system, choice.choice, choice.choice.rows, choice.best);
        result.choices.push_back(std::move(choice));
    }

    Eigen::MatrixXd covariance;
    if (fit.size() > 0)
        covariance = point.precision.ldlt().solve(Eigen::MatrixXd::Identity(fit.size(), fit.size()));
    const model::Part& part = fit.survey().part;
    for (std::size_t i = 0; i < fit.inputs().size(); ++i) {
        const auto row = static_cast<Eigen::Index>(i);
        CalibratedInput input;
        input.input = fit.inputs()[i];
        if (const auto* table = table_of(part, input.input.kind))
            input.input.rows = mapped(input.input.rows, *table);
        input.asked = std::any_of(filled.asked.begin(), filled.asked.end(),
                                  [&](const Input& asked) { return shares_a_row(input.input, asked); });
        input.after = input.input.value + point.changes[row] * input.input.deviation;
        input.deviation = std::sqrt(covariance(row, row)) * input.input.deviation;
        input.determined = result.fits && input.deviation <= determined_below * input.input.deviation;
        if (input.asked) change_input(filled.system, input.input, input.after - input.input.value);
        result.inputs.push_back(std::move(input));
    }
    // What lies in zones that were not read.
    for (const Input& asked : filled.asked) {
        if (std::none_of(result.inputs.begin(), result.inputs.end(),
                         [&](const CalibratedInput& other) { return shares_a_row(other.input, asked); }))
            result.inputs.push_back({asked, true, asked.value, asked.deviation, false});
    }
    for (const CalibratedChoice& choice : result.choices) keep_doubt(filled.system, choice, result.fits);
    result.layout = model::find_layout(filled.system);
    result.system = std::move(filled.system);
    return result;
}

}  // namespace evenhead::solver
