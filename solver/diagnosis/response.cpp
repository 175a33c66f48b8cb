#include "solver/diagnosis/response.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace evenhead::solver {
namespace {

constexpr int rows = 13;

// Slopes of a curve that does not overshoot where the rows go up and then level (Fritsch & Butland as in the
// charts), and is free where they turn smoothly.
double inner_slope(double left, double right, double h0, double h1) {
    if (left * right <= 0) return (left * h1 + right * h0) / (h0 + h1) * (left == 0 || right == 0 ? 0 : 1);
    const double alpha = (h0 + 2 * h1) / (3 * (h0 + h1));
    return left * right / (alpha * right + (1 - alpha) * left);
}

}  // namespace

Response::Response(std::vector<double> ranks, std::vector<std::vector<double>> shown,
                   std::vector<double> severities)
    : ranks_(std::move(ranks)), severities_(std::move(severities)), shown_(std::move(shown)) {
    const std::size_t n = ranks_.size(), gauges = shown_.front().size();
    slopes_.assign(n, std::vector<double>(gauges, 0));
    if (n < 2) return;
    const auto secant = [&](std::size_t row, std::size_t gauge) {
        return (shown_[row + 1][gauge] - shown_[row][gauge]) / (ranks_[row + 1] - ranks_[row]);
    };
    for (std::size_t gauge = 0; gauge < gauges; ++gauge) {
        slopes_[0][gauge] = secant(0, gauge);
        slopes_[n - 1][gauge] = secant(n - 2, gauge);
        for (std::size_t row = 1; row + 1 < n; ++row)
            slopes_[row][gauge] = inner_slope(secant(row - 1, gauge), secant(row, gauge),
                                              ranks_[row] - ranks_[row - 1], ranks_[row + 1] - ranks_[row]);
    }
}

Response::Place Response::place(double rank) const {
    if (ranks_.size() < 2) return {0, 1, 0, 0, 0};
    const auto above = std::upper_bound(ranks_.begin() + 1, ranks_.end() - 1, rank);
    const auto row = static_cast<std::size_t>(above - ranks_.begin()) - 1;
    const double h = ranks_[row + 1] - ranks_[row], t = std::clamp((rank - ranks_[row]) / h, 0.0, 1.0),
                 s = 1 - t;
    return {row, s * s * (1 + 2 * t), t * t * (1 + 2 * s), h * t * s * s, -h * t * t * s};
}

void Response::shown(double rank, std::vector<double>& out) const {
    const Place at = place(rank);
    out.resize(shown_.front().size());
    for (std::size_t gauge = 0; gauge < out.size(); ++gauge)
        out[gauge] = ranks_.size() < 2
                         ? shown_[0][gauge]
                         : at.value0 * shown_[at.row][gauge] + at.value1 * shown_[at.row + 1][gauge] +
                               at.slope0 * slopes_[at.row][gauge] + at.slope1 * slopes_[at.row + 1][gauge];
}

double Response::severity(double rank) const {
    if (ranks_.size() < 2) return severities_.front();
    const auto above = std::upper_bound(ranks_.begin() + 1, ranks_.end() - 1, rank);
    const auto row = static_cast<std::size_t>(above - ranks_.begin()) - 1;
    const double t = std::clamp((rank - ranks_[row]) / (ranks_[row + 1] - ranks_[row]), 0.0, 1.0);
    return severities_[row] + t * (severities_[row + 1] - severities_[row]);
}

Response Response::reordered(const std::vector<std::size_t>& order) const {
    std::vector<std::vector<double>> shown;
    for (const std::vector<double>& row : shown_) {
        shown.emplace_back();
        for (const std::size_t gauge : order) shown.back().push_back(row[gauge]);
    }
    return Response(ranks_, std::move(shown), severities_);
}

std::optional<Response> find_response(const Survey& survey, const model::FaultPriors& priors,
                                      const Site& site, const Healthy& healthy) {
    if (site.kind == FaultKind::second_zone_on) {
        const Survey wider = with_zone(survey, site.at.index);
        const Site* faults[] = {&site};
        FaultySystem system(wider, priors, faults, &healthy);
        const double rank[] = {0};
        auto answer = system.solve(rank);
        if (!answer.solved) return std::nullopt;
        return Response({0}, {std::move(answer.shown)}, {1});
    }
    const Site* faults[] = {&site};
    FaultySystem system(survey, priors, faults, &healthy);
    if (!system.possible()) return std::nullopt;
    std::vector<double> ranks, severities;
    std::vector<std::vector<double>> shown;
    for (int row = 0; row < rows; ++row) {
        const double rank[] = {static_cast<double>(row) / (rows - 1)};
        auto answer = system.solve(rank);
        if (!answer.solved) {
            if (ranks.empty()) continue;
            break;  // what lies beyond does not balance
        }
        ranks.push_back(rank[0]);
        shown.push_back(std::move(answer.shown));
        severities.push_back(answer.severities.front());
    }
    if (ranks.size() < 2) return std::nullopt;
    return Response(std::move(ranks), std::move(shown), std::move(severities));
}

}  // namespace evenhead::solver
