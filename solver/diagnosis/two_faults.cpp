#include "solver/diagnosis/two_faults_parts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "model/position.hpp"
#include "solver/parallel.hpp"

namespace evenhead::solver {
namespace {

constexpr int coarse = 33;          // ranks of each fault in the first search
constexpr std::size_t finest = 64;  // pairs that are balanced
constexpr int fine = 60;            // ranks of each fault in the last sum

/// A response at evenly spaced ranks, as differences from healthy.
struct Table {
    std::vector<double> ranks;
    std::vector<std::vector<double>> change;  // by rank: by gauge
};

Table tabulate(const Response& response, const Healthy& healthy, int count) {
    Table table;
    const int rows = response.has_severity() ? count : 1;
    for (int i = 0; i < rows; ++i) {
        table.ranks.push_back(response.first_rank() +
                              (i + 0.5) / rows * (response.last_rank() - response.first_rank()));
        std::vector<double> shown;
        response.shown(table.ranks.back(), shown);
        for (std::size_t gauge = 0; gauge < shown.size(); ++gauge) shown[gauge] -= healthy.shown[gauge];
        table.change.push_back(std::move(shown));
    }
    return table;
}

struct Pair {
    std::size_t one = 0, other = 0;
    double chi_squared = std::numeric_limits<double>::infinity();
    double rank_one = 0, rank_other = 0;
};

class Search {
  public:
    Search(const Survey& survey, const model::FaultPriors& priors, const std::vector<Site>& sites,
           const std::vector<std::optional<Response>>& responses, const Healthy& healthy,
           const Evidence& evidence)
        : survey_(survey),
          priors_(priors),
          sites_(sites),
          responses_(responses),
          healthy_(healthy),
          evidence_(evidence) {
        // Differences whitened by the covariance of the readings: a chi-squared is then a sum of squares.
        const Eigen::LLT<Eigen::MatrixXd> factor(evidence.likelihood.covariance());
        const Eigen::MatrixXd lower = factor.matrixL();
        const auto whiten = [&](const std::vector<double>& change) {
            return Eigen::VectorXd(lower.triangularView<Eigen::Lower>().solve(
                Eigen::Map<const Eigen::VectorXd>(change.data(), evidence.measured.size())));
        };
        target_ = lower.triangularView<Eigen::Lower>().solve(differences(evidence, healthy.shown));
        for (std::size_t i = 0; i < sites.size(); ++i) {
            if (!responses[i]) continue;
            usable_.push_back(i);
            tables_.push_back(tabulate(*responses[i], healthy, coarse));
            whitened_.emplace_back();
            for (const auto& change : tables_.back().change) whitened_.back().push_back(whiten(change));
        }
    }

    std::vector<Pair> best_pairs(std::size_t threads) const {
        std::vector<std::vector<Pair>> found(usable_.size());
        in_parallel(threads, usable_.size(), [&](std::size_t, std::size_t i) {
            for (std::size_t j = i + 1; j < usable_.size(); ++j) {
                const Pair pair = fit(i, j);
                if (pair.chi_squared < bar()) found[i].push_back(pair);
            }
        });
        std::vector<Pair> pairs;
        for (const auto& list : found) pairs.insert(pairs.end(), list.begin(), list.end());
        const auto score = [&](const Pair& pair) {
            return pair.chi_squared / 2 - std::log(sites_[pair.one].weight) -
                   std::log(sites_[pair.other].weight);
        };
        std::stable_sort(pairs.begin(), pairs.end(),
                         [&](const Pair& a, const Pair& b) { return score(a) < score(b); });
        if (pairs.size() > finest) pairs.resize(finest);
        return pairs;
    }

    std::optional<Hypothesis> weigh(const Pair& pair) const {
        const Site* faults[] = {&sites_[pair.one], &sites_[pair.other]};
        FaultySystem system(survey_, priors_, faults, &healthy_);
        if (!system.possible()) return std::nullopt;
        double ranks[] = {pair.rank_one, pair.rank_other};
        Hypothesis hypothesis;
        std::vector<double> correction(healthy_.shown.size(), 0);
        const Table table_one = tabulate(*responses_[pair.one], healthy_, fine);
        const Table table_other = tabulate(*responses_[pair.other], healthy_, fine);
        for (int round = 0; round < 3; ++round) {
            auto answer = system.solve(ranks);
            if (!answer.solved) return std::nullopt;
            hypothesis.severities = answer.severities;
            std::vector<double> one, other;
            responses_[pair.one]->shown(ranks[0], one);
            responses_[pair.other]->shown(ranks[1], other);
            for (std::size_t gauge = 0; gauge < correction.size(); ++gauge)
                correction[gauge] = answer.shown[gauge] - (one[gauge] + other[gauge] - healthy_.shown[gauge]);
            hypothesis.ranks = {ranks[0], ranks[1]};
            hypothesis.best = std::move(answer.shown);
            sum_up(pair, table_one, table_other, correction, hypothesis, ranks);
        }
        hypothesis.faults = {faults[0], faults[1]};
        hypothesis.chi_squared = evidence_.likelihood.chi_squared(differences(evidence_, hypothesis.best));
        return hypothesis;
    }

  private:
    double bar() const { return static_cast<double>(evidence_.measured.size()) + 12; }

    Pair fit(std::size_t i, std::size_t j) const {
        Pair pair{usable_[i], usable_[j]};
        if (same_thing(sites_[pair.one], sites_[pair.other])) return pair;
        for (std::size_t a = 0; a < whitened_[i].size(); ++a) {
            const Eigen::VectorXd left = target_ - whitened_[i][a];
            for (std::size_t b = 0; b < whitened_[j].size(); ++b) {
                const double chi_squared = (left - whitened_[j][b]).squaredNorm();
                if (chi_squared < pair.chi_squared) {
                    pair.chi_squared = chi_squared;
                    pair.rank_one = tables_[i].ranks[a];
                    pair.rank_other = tables_[j].ranks[b];
                }
            }
        }
        return pair;
    }

    /// The same row twice is one fault (a blockage and a narrow run of one pipe).
    static bool same_thing(const Site& one, const Site& other) { return one.at == other.at; }

    /// The mean of the likelihood over both ranks; moves `ranks` to the best.
    void sum_up(const Pair& pair, const Table& one, const Table& other, const std::vector<double>& correction,
                Hypothesis& hypothesis, double* ranks) const {
        std::vector<double> logs;
        std::vector<double> shown(healthy_.shown.size());
        double most = -std::numeric_limits<double>::infinity();
        std::vector<std::pair<std::size_t, std::size_t>> cells;
        for (std::size_t a = 0; a < one.ranks.size(); ++a) {
            for (std::size_t b = 0; b < other.ranks.size(); ++b) {
                for (std::size_t gauge = 0; gauge < shown.size(); ++gauge)
                    shown[gauge] = healthy_.shown[gauge] + one.change[a][gauge] + other.change[b][gauge] +
                                   correction[gauge];
                logs.push_back(evidence_.likelihood.log(differences(evidence_, shown)));
                cells.emplace_back(a, b);
                if (logs.back() > most) {
                    most = logs.back();
                    ranks[0] = one.ranks[a];
                    ranks[1] = other.ranks[b];
                }
            }
        }
        double sum = 0;
        for (double& value : logs) sum += (value = std::exp(value - most));
        hypothesis.log_evidence = most + std::log(sum / static_cast<double>(logs.size()));
        std::vector<std::vector<double>> points;
        std::vector<double> weights, by_one(one.ranks.size(), 0), by_other(other.ranks.size(), 0);
        double kept = 0;
        for (std::size_t i = 0; i < logs.size(); ++i) {
            const auto [a, b] = cells[i];
            by_one[a] += logs[i] / sum;
            by_other[b] += logs[i] / sum;
            if (logs[i] < 1e-3) continue;
            for (std::size_t gauge = 0; gauge < shown.size(); ++gauge)
                shown[gauge] =
                    healthy_.shown[gauge] + one.change[a][gauge] + other.change[b][gauge] + correction[gauge];
            points.push_back(shown);
            weights.push_back(logs[i]);
            kept += logs[i];
        }
        for (double& weight : weights) weight /= kept;
        hypothesis.band = {band(*responses_[pair.one], one.ranks, by_one),
                           band(*responses_[pair.other], other.ranks, by_other)};
        predict(hypothesis, evidence_, points, weights);
    }

    static std::array<double, 2> band(const Response& response, const std::vector<double>& ranks,
                                      const std::vector<double>& weights) {
        double sum = 0, low = ranks.front(), high = ranks.back();
        for (std::size_t i = 0; i < ranks.size(); ++i) {
            if (sum < 0.05) low = ranks[i];
            if (sum < 0.95) high = ranks[i];
            sum += weights[i];
        }
        const double one = response.severity(low), other = response.severity(high);
        return {std::min(one, other), std::max(one, other)};
    }

    const Survey& survey_;
    const model::FaultPriors& priors_;
    const std::vector<Site>& sites_;
    const std::vector<std::optional<Response>>& responses_;
    const Healthy& healthy_;
    const Evidence& evidence_;
    Eigen::VectorXd target_;
    std::vector<std::size_t> usable_;
    std::vector<Table> tables_;
    std::vector<std::vector<Eigen::VectorXd>> whitened_;
};

}  // namespace

bool explained(const std::vector<Hypothesis>& hypotheses, const Evidence& evidence) {
    double least = std::numeric_limits<double>::infinity();
    for (const Hypothesis& hypothesis : hypotheses) least = std::min(least, hypothesis.chi_squared);
    // 95 % of chi-squared with n degrees of freedom, by Wilson and Hilferty (1931).
    const auto n = static_cast<double>(evidence.measured.size());
    const double part = 2 / (9 * n), root = 1 - part + 1.645 * std::sqrt(part);
    return least <= n * root * root * root;
}

std::vector<Hypothesis> two_faults(const Survey& survey, const model::FaultPriors& priors,
                                   const std::vector<Site>& sites,
                                   const std::vector<std::optional<Response>>& responses,
                                   const Healthy& healthy, const Evidence& evidence, double prior,
                                   std::size_t threads) {
    const Search search(survey, priors, sites, responses, healthy, evidence);
    const std::vector<Pair> pairs = search.best_pairs(threads);
    std::vector<std::optional<Hypothesis>> weighed(pairs.size());
    in_parallel(threads, pairs.size(),
                [&](std::size_t, std::size_t i) { weighed[i] = search.weigh(pairs[i]); });
    double sum = 0, squares = 0;
    for (const Site& site : sites) {
        sum += site.weight;
        squares += site.weight * site.weight;
    }
    std::vector<Hypothesis> hypotheses;
    for (std::size_t i = 0; i < pairs.size(); ++i) {
        if (!weighed[i]) continue;
        weighed[i]->prior =
            prior * 2 * sites[pairs[i].one].weight * sites[pairs[i].other].weight / (sum * sum - squares);
        hypotheses.push_back(std::move(*weighed[i]));
    }
    return hypotheses;
}

}  // namespace evenhead::solver
