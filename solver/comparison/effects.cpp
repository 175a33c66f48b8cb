// What each change does: the drawn system balanced with it, run by run, beside the drawn and the built one.
#include <algorithm>
#include <cmath>
#include <limits>
#include <unordered_map>

#include "model/position.hpp"
#include "solver/balance/balance.hpp"
#include "solver/comparison/rows_parts.hpp"
#include "solver/parallel.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

using model::none;
using model::System;

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr double nothing = 1;  // Pa: what rounding may be

std::unordered_map<std::string, Index> heads_by_id(const System& system) {
    std::unordered_map<std::string, Index> heads;
    for (std::size_t i = 0; i < system.heads.size(); ++i)
        heads.emplace(system.point_id(system.heads[i].point), static_cast<Index>(i));
    return heads;
}

/// Pressure at the critical head of each run as drawn, in another system. NaN: see ChangeEffect.
class HeadsElsewhere {
  public:
    HeadsElsewhere(const System& drawn, const std::vector<ComparedHead>& deciding)
        : drawn_(drawn), deciding_(deciding) {}

    std::vector<double> pressures(const System& system, const model::Layout& layout) const {
        std::vector<double> found(deciding_.size(), unknown);
        const Network network = build_network(system, layout);
        const Prepared prepared = prepare(network);
        Balancer balancer(system, network, prepared);
        const auto heads = heads_by_id(system);
        std::unordered_map<std::string, Index> runs;
        for (std::size_t i = 0; i < system.runs.size(); ++i)
            runs.emplace(system.runs[i].id, static_cast<Index>(i));
        RunResult result;
        for (std::size_t i = 0; i < deciding_.size(); ++i) {
            const auto head = heads.find(drawn_.point_id(drawn_.heads[at(deciding_[i].head)].point));
            const auto run = runs.find(drawn_.runs[at(deciding_[i].run)].id);
            if (head == heads.end() || run == runs.end()) continue;
            balancer.balance(run->second, system.runs[at(run->second)].valves, result);
            if (!result.failure && result.head_flow[at(head->second)] > 0)
                found[i] = result.head_pressure[at(head->second)];
        }
        return found;
    }

  private:
    const System& drawn_;
    const std::vector<ComparedHead>& deciding_;
};

std::vector<ComparedHead> deciding_heads(const System& drawn, const model::Layout& drawn_layout,
                                         const System& built, const model::Layout& built_layout,
                                         int threads) {
    CheckOptions options;
    options.threads = threads;
    std::vector<ComparedHead> deciding;
    check_runs(drawn, drawn_layout, options, [&](const RunResult& result, const RunFindings& findings) {
        if (result.failure || findings.critical_head == none) return;
        ComparedHead of;
        of.run = result.run;
        of.head = findings.critical_head;
        of.drawn = result.head_pressure[at(of.head)];
        of.built = of.wanted = of.built_pressure = unknown;
        deciding.push_back(of);
    });
    std::unordered_map<std::string, std::size_t> by_run;
    for (std::size_t i = 0; i < deciding.size(); ++i) by_run.emplace(drawn.runs[at(deciding[i].run)].id, i);
    const auto built_heads = heads_by_id(built);
    for (ComparedHead& of : deciding) {
        const auto head = built_heads.find(drawn.point_id(drawn.heads[at(of.head)].point));
        if (head != built_heads.end()) of.wanted = wanted_pressure(built, head->second).value_or(unknown);
    }
    check_runs(built, built_layout, options, [&](const RunResult& result, const RunFindings& findings) {
        const auto found = by_run.find(built.runs[at(result.run)].id);
        if (found == by_run.end() || result.failure) return;
        ComparedHead& of = deciding[found->second];
        const auto head = built_heads.find(drawn.point_id(drawn.heads[at(of.head)].point));
        if (head != built_heads.end() && result.head_flow[at(head->second)] > 0)
            of.built = result.head_pressure[at(head->second)];
        if (findings.critical_head == none) return;
        of.built_run = result.run;
        of.built_head = findings.critical_head;
        of.built_pressure = result.head_pressure[at(of.built_head)];
    });
    return deciding;
}

/// Why the drawn system with these changes could not be balanced; empty: it can.
std::string why_not(const System& system, const model::Layout& layout) {
    if (!layout.errors.empty()) return layout.errors.front().text;
    const auto missing = unknown_values(system);
    return missing.empty() ? "" : missing.front().text;
}

/// A head that no water reaches any more is worse than any loss.
double worst(const Change& change) {
    double least = 0;
    for (const ChangeEffect& effect : change.effects) {
        if (std::isnan(effect.alone)) return -std::numeric_limits<double>::infinity();
        least = std::min(least, effect.alone);
    }
    return least;
}
double largest(const Change& change) {
    double most = 0;
    for (const ChangeEffect& effect : change.effects)
        if (!std::isnan(effect.alone)) most = std::max(most, std::abs(effect.alone));
    return most;
}

}  // namespace

Comparison compare(const System& drawn, const model::Layout& drawn_layout, const System& as_built,
                   const model::Layout& built_layout, int threads) {
    Comparison comparison;
    Aligned aligned = align_names(drawn, as_built);
    const System& built = aligned.built;
    comparison.deciding = deciding_heads(drawn, drawn_layout, built, built_layout, threads);
    comparison.changes = find_changes(drawn, built);
    const std::vector<ComparedHead>& deciding = comparison.deciding;
    const HeadsElsewhere elsewhere(drawn, deciding);

    std::size_t groups = 0;
    for (const Change& change : comparison.changes) groups = std::max(groups, change.group + 1);
    for (Change& change : aligned.renamed) {
        change.group = groups++;
        comparison.changes.push_back(std::move(change));
    }
    std::vector<std::string> reasons(groups);
    std::vector<std::vector<double>> alone(groups);
    in_parallel(at(threads > 0 ? threads : default_threads()), groups, [&](std::size_t, std::size_t group) {
        const System made = with_changes(drawn, built, comparison.changes, group);
        const model::Layout layout = model::find_layout(made);
        reasons[group] = why_not(made, layout);
        if (reasons[group].empty()) alone[group] = elsewhere.pressures(made, layout);
    });
    for (Change& change : comparison.changes) {
        change.not_alone = reasons[change.group];
        for (std::size_t i = 0; i < deciding.size() && change.not_alone.empty(); ++i) {
            const auto gain = [&](double pressure) {
                const double by = pressure - deciding[i].drawn;
                return std::abs(by) < nothing ? 0 : by;
            };
            change.effects.push_back(
                {deciding[i].run, deciding[i].head, gain(alone[change.group][i]), gain(deciding[i].built)});
        }
    }
    std::stable_sort(comparison.changes.begin(), comparison.changes.end(),
                     [](const Change& one, const Change& other) {
                         if (worst(one) != worst(other)) return worst(one) < worst(other);
                         return largest(one) > largest(other);
                     });
    return comparison;
}

}  // namespace evenhead::solver
