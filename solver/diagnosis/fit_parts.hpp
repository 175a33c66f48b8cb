// One fit of the inputs (and of the severities of faults built in) with chosen candidates. Not installed: use
// solver/diagnosis/calibration.hpp, which has the derivation.
#pragma once

#include <Eigen/Dense>

#include <limits>
#include <optional>
#include <vector>

#include "solver/diagnosis/calibration.hpp"
#include "solver/diagnosis/faulty_system.hpp"

namespace evenhead::solver {

using Candidates = std::vector<std::size_t>;  ///< candidate of each choice

/// Sets the size of these pipes, or the nozzle of these heads, to a candidate.
void select(model::System& system, const Choice& choice, const std::vector<Index>& rows,
            std::size_t candidate);

/// These rows, as `to` counts them; those that are left out there go.
std::vector<Index> mapped(const std::vector<Index>& rows, const std::vector<Index>& to);

class Fit {
  public:
    /// `filled` must outlive it.
    Fit(const Filled& filled, const CalibrationOptions& options);

    struct Point {
        Eigen::VectorXd changes;    ///< z
        Eigen::VectorXd residuals;  ///< (r - y) / s
        double objective = std::numeric_limits<double>::infinity();
        Eigen::MatrixXd precision;  ///< J^T W J + 1
        double log_weight = -std::numeric_limits<double>::infinity();
    };
    /// The least of F with these candidates, from `start`; no objective where there is no solution.
    Point least(const Candidates& selection, const Eigen::VectorXd& start) const;

    /// Of inputs, then of faults.
    Eigen::Index size() const { return static_cast<Eigen::Index>(inputs_.size() + faults_.size()); }
    /// Inputs as the case has them, faults as the explanation does.
    Eigen::VectorXd first() const;
    const std::vector<Input>& inputs() const { return inputs_; }
    const Survey& survey() const { return survey_; }
    bool concerns(std::size_t choice) const { return !choice_rows_[choice].empty(); }

  private:
    Survey selected(const Candidates& selection) const;
    std::optional<Eigen::VectorXd> residuals_at(const Survey& survey, const Eigen::VectorXd& changes) const;
    std::vector<double> shown_by(const Survey& survey, const Eigen::VectorXd& changes) const;
    Point point_at(const Survey& survey, const Eigen::VectorXd& changes) const;
    Eigen::MatrixXd slopes_at(const Survey& survey, const Point& point) const;

    const Filled& filled_;
    const model::FaultPriors& priors_;
    std::size_t threads_;
    Survey survey_;
    std::vector<Input> inputs_;                    // of the part
    std::vector<const Site*> faults_;              // of the part
    std::vector<double> ranks_;                    // where the explanation fits best
    std::vector<std::vector<Index>> choice_rows_;  // of the part
    Eigen::VectorXd measured_, deviation_;
};

}  // namespace evenhead::solver
