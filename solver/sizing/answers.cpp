#include "solver/sizing/answers.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

#include "model/position.hpp"
#include "solver/rules/rule.hpp"
#include "solver/runs/runs.hpp"
#include "solver/sizing/search.hpp"

namespace evenhead::solver {
namespace {

constexpr double not_one_number = std::numeric_limits<double>::quiet_NaN();

/// Every run of every situation of a design, as the rules see it.
struct Looked {
    std::vector<std::vector<RunResult>> results;     // by situation and run of the problem
    std::vector<std::vector<RunFindings>> findings;  // likewise
    std::vector<CheckSummary> summaries;
};

Looked look(const SizingProblem& problem, const Design& design) {
    Looked looked;
    CheckOptions options;
    options.threads = 1;
    for (std::size_t s = 0; s < problem.situations.size(); ++s) {
        const model::System sized = problem.sized(s, design);
        auto& results = looked.results.emplace_back();
        auto& findings = looked.findings.emplace_back();
        looked.summaries.push_back(check_runs(sized, problem.situations[s].layout, options,
                                              [&](const RunResult& result, const RunFindings& found) {
                                                  results.push_back(result);
                                                  findings.push_back(found);
                                              }));
    }
    return looked;
}

/// The margin that the design has at what a cheaper one breaks.
double margin_of(const SizingProblem& problem, const Looked& looked, std::size_t situation, std::size_t run,
                 const Finding& finding) {
    const RunResult& result = looked.results[situation][run];
    const auto below = [&](double value) {
        return finding.upper ? finding.limit - value : value - finding.limit;
    };
    switch (finding.rule) {
        case RuleId::head_pressure:
            return below(result.head_pressure[at(finding.subject.index)]);
        case RuleId::velocity:
            return below(result.pipe_velocity[at(finding.subject.index)]);
        case RuleId::short_flow:
            return below(result.head_flow[at(finding.subject.index)]);
        case RuleId::zone_spread: {
            // Of this zone alone: runs with several zones tell the worst of them only.
            const double spread = looked.findings[situation][run].spread;
            return problem.system.runs[run].valves.size() == 1 ? finding.limit - spread : not_one_number;
        }
        default:
            return not_one_number;
    }
}

struct Broken {
    const Finding* finding = nullptr;
    std::size_t situation = 0;
    Index run = model::none;
    double share = 0;
};

/// What breaks worst in a design, by severity.
Broken worst_of(const Looked& looked) {
    Broken worst;
    const auto offer = [&](const Finding& finding, std::size_t situation, Index run) {
        if (!finding.fails) return;
        const double share = severity(finding.margin, finding.limit);
        if (worst.finding != nullptr && share >= worst.share) return;
        worst = {&finding, situation, run, share};
    };
    for (std::size_t s = 0; s < looked.summaries.size(); ++s) {
        for (std::size_t run = 0; run < looked.findings[s].size(); ++run)
            for (const Finding& finding : looked.findings[s][run].findings)
                offer(finding, s, static_cast<Index>(run));
        for (const Finding& finding : looked.summaries[s].findings) offer(finding, s, model::none);
    }
    return worst;
}

/// A limit of the problem moved, in every situation.
template <class Move>
SizingProblem with_moved(const SizingProblem& problem, const Move& move) {
    SizingProblem moved = problem;
    move(moved.system);
    for (SizingProblem::Situation& situation : moved.situations) move(situation.system);
    return moved;
}

using SizeAgain = std::function<Sizing(const SizingProblem&)>;

LimitPrice price(const SizingProblem& moved, const Sizing& sized, const SizeAgain& size_again) {
    const Sizing other = size_again(moved);
    LimitPrice found;
    found.cost = other.found ? std::min(other.cost, sized.cost) : sized.cost;
    found.saving = sized.cost - found.cost;
    found.proven = other.proven && sized.proven;
    return found;
}

}  // namespace

std::vector<Binding> find_binding(const SizingProblem& problem, const Design& design) {
    const Looked as_sized = look(problem, design);
    std::map<std::tuple<Index, Index, RuleId, ElementKind, Index, bool>, Binding> bindings;
    for (std::size_t o = 0; o < problem.open.size(); ++o) {
        const auto& choices = problem.open[o].choices;
        int down = design[o] - 1;
        while (down >= 0 && !(choices[at(down)].cost < choices[at(design[o])].cost)) --down;
        if (down < 0) continue;
        Design smaller = design;
        std::vector<std::size_t> changed;
        if (!change_telescoping(problem, smaller, o, down, changed)) continue;
        const Looked looked = look(problem, smaller);
        const Broken broken = worst_of(looked);
        if (broken.finding == nullptr) continue;
        const Index condition = problem.situations[broken.situation].condition;
        const ElementRef& subject = broken.finding->subject;
        Binding& binding = bindings[{condition, broken.run, broken.finding->rule, subject.kind, subject.index,
                                     broken.finding->upper}];
        if (binding.pipes.empty()) {
            binding.rule = broken.finding->rule;
            binding.subject = subject;
            binding.run = broken.run;
            binding.condition = condition;
            binding.upper = broken.finding->upper;
            binding.dimension = broken.finding->dimension;
            binding.margin = broken.run == model::none ? not_one_number
                                                       : margin_of(problem, as_sized, broken.situation,
                                                                   at(broken.run), *broken.finding);
        }
        binding.pipes.push_back(problem.open[o].pipe);
    }
    std::vector<Binding> sorted;
    sorted.reserve(bindings.size());
    for (auto& [key, binding] : bindings) sorted.push_back(std::move(binding));
    std::stable_sort(sorted.begin(), sorted.end(), [](const Binding& one, const Binding& other) {
        return one.pipes.size() > other.pipes.size();
    });
    return sorted;
}

std::vector<LimitPrice> find_limit_prices(const SizingProblem& problem, const Sizing& sized,
                                          const SizeAgain& size_again) {
    std::vector<LimitPrice> prices;
    const bool us = problem.system.units == model::UnitSystem::us;
    // The critical head of the situation where it has the least margin.
    const Looked looked = look(problem, sized.design);
    Index critical = model::none;
    double least = infinity;
    for (const CheckSummary& summary : looked.summaries) {
        if (summary.critical_head == model::none || !(summary.critical_margin < least)) continue;
        least = summary.critical_margin;
        critical = summary.critical_head;
    }
    const RuleBasis rules = prepare_rules(problem.system, problem.layout);
    if (critical != model::none && !rules[RuleId::head_pressure].off) {
        constexpr double psi = 6894.757293168361;  // Pa
        const double wanted = wanted_pressure(problem.system, critical).value_or(0), moved = us ? psi : 10e3;
        LimitPrice found =
            price(with_moved(problem,
                             [&](model::System& system) {
                                 system.heads[at(critical)].at_least = model::Quantity{wanted - moved, 0};
                             }),
                  sized, size_again);
        found.limit = LimitPrice::Limit::critical_head;
        found.head = critical;
        found.moved = moved;
        found.to = wanted - moved;
        prices.push_back(found);
    }
    if (!rules[RuleId::velocity].off) {
        constexpr double more = 1.1;
        const double limit = rules[RuleId::velocity].value, to = more * limit;
        LimitPrice found = price(with_moved(problem,
                                            [&](model::System& system) {
                                                model::Limit& row = system.limits["velocity"];
                                                row.value = model::Quantity{to, 0};
                                                for (model::OptionalQuantity& own : row.by_material)
                                                    if (own) own->value *= more;
                                            }),
                                 sized, size_again);
        found.limit = LimitPrice::Limit::velocity;
        found.moved = to - limit;
        found.to = to;
        prices.push_back(found);
    }
    return prices;
}

}  // namespace evenhead::solver
