// How the readings follow the severity of one fault: balanced at some severities, a smooth curve between
// them.
#pragma once

#include <optional>
#include <vector>

#include "solver/diagnosis/faulty_system.hpp"

namespace evenhead::solver {

class Response {
  public:
    /// Rows: what the gauges show at each rank of severity, rising; at least one.
    Response(std::vector<double> ranks, std::vector<std::vector<double>> shown,
             std::vector<double> severities);

    /// What the gauges show at a rank between the first and the last, into `out`.
    void shown(double rank, std::vector<double>& out) const;
    double severity(double rank) const;
    /// The same with its gauges in another order: gauge i is what was gauge order[i].
    Response reordered(const std::vector<std::size_t>& order) const;
    bool has_severity() const { return ranks_.size() > 1; }
    double first_rank() const { return ranks_.front(); }
    double last_rank() const { return ranks_.back(); }

  private:
    struct Place {
        std::size_t row;
        double value0, value1, slope0, slope1;  // weights of a cubic between two rows
    };
    Place place(double rank) const;

    std::vector<double> ranks_, severities_;
    std::vector<std::vector<double>> shown_, slopes_;  // by row
};

/// Balances one fault at ranks of severity that resolve its effect. Empty: it could not be, or does not
/// balance.
std::optional<Response> find_response(const Survey& survey, const model::FaultPriors& priors,
                                      const Site& site, const Healthy& healthy);

}  // namespace evenhead::solver
