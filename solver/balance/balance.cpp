#include "solver/balance/balance.hpp"
#include "model/position.hpp"

#include <cmath>
#include <utility>

namespace evenhead::solver {
namespace {

constexpr double most_off = 1e-8;  // m
constexpr std::size_t most_named = 6;

// Heights held apart by next to nothing: the flow between them is nobody's.
Failure boundless_flow(const Network& network, const State& state, double largest) {
    Failure failure;
    failure.kind = "boundless-flow";
    failure.text = "More water would flow than any system carries.";
    failure.cause = "Supplies or set pressures that differ are joined by what loses next to nothing.";
    failure.remedy = "Check the pressures, bores, lengths, losses and flow tests of the elements named.";
    for (std::size_t e = 0; e < state.flow.size() && failure.elements.size() < most_named; ++e) {
        if (std::abs(state.flow[e]) < 0.1 * largest) continue;
        failure.elements.push_back(network.elements[e].ref);
        if (std::abs(state.flow[e]) == largest && failure.points.empty())
            failure.points.push_back({network.elements[e].ref, largest, most_flow, model::Dimension::flow});
    }
    return failure;
}

Failure open_closure(const Network& network, const State& state, const Closure& closure) {
    const double largest = largest_flow(state.flow);
    if (largest > most_flow) return boundless_flow(network, state, largest);
    ElementRef where;
    static constexpr std::pair<const char*, ElementKind> kinds[] = {{"pipe", ElementKind::pipe},
                                                                    {"device", ElementKind::device},
                                                                    {"valve", ElementKind::valve},
                                                                    {"head", ElementKind::head},
                                                                    {"supply", ElementKind::supply}};
    for (const auto& [word, kind] : kinds) {
        if (closure.worst_element == word) where = {kind, closure.worst_index};
    }
    return not_converged("Pressures and flows were found, but they do not close within the limits.", where,
                         closure.pressure, mismatch_limit);
}

}  // namespace

Prepared prepare(const Network& network) {
    Prepared prepared{prepare_structure(network), {}};
    prepared.parameters = set_parameters(network, prepared.structure);
    return prepared;
}

Balancer::Balancer(const model::System& system, const Network& network, const Prepared& prepared)
    : system_(system),
      net_(network),
      trees_(network, prepared.structure, prepared.parameters),
      check_(network) {}

Closure Balancer::solve(const std::vector<Index>& open_valves, std::vector<Step>* steps) {
    failure_.reset();
    by_trees_ = trees_.solve(open_valves, steps);
    Closure closure;
    if (by_trees_) {
        closure = check_.check(trees_.state());
        closure.steps = trees_.solves();
        // A flow that rounding has moved in the core shows in the heights of what loses nothing.
        if (closure.solved && check_.off_in_height() <= most_off) return closure;
        by_trees_ = false;
    }
    general_ = reach(net_, open_elements(net_, open_valves));
    SolveReport report = solve_state(net_, general_, steps != nullptr);
    if (steps != nullptr) {
        for (Step& step : report.steps) step.number += trees_.solves();
        steps->insert(steps->end(), report.steps.begin(), report.steps.end());
    }
    closure = {};
    if (!report.failure) {
        spread_still_heights(net_, general_);
        closure = check_.check(general_);
    }
    closure.steps = trees_.solves() + report.solves;
    if (report.failure) {
        failure_ = std::move(report.failure);
    } else if (!closure.solved) {
        failure_ = open_closure(net_, general_, closure);
    }
    return closure;
}

const ResultWriter& Balancer::writer() {
    if (!writer_) writer_.emplace(system_, net_);
    return *writer_;
}

void Balancer::balance(Index run, const std::vector<Index>& open_valves, RunResult& result,
                       bool record_steps) {
    result.run = run;
    result.open = open_valves;
    result.steps.clear();
    result.closure = solve(open_valves, record_steps ? &result.steps : nullptr);
    result.failure = failure_;
    writer().write(state(), result);
}

void Balancer::balance_flows(Index run, const std::vector<Index>& open_valves, RunResult& result) {
    result.run = run;
    result.open = open_valves;
    result.closure = solve(open_valves);
    result.failure = failure_;
    writer().write_flows(state(), result);
}

RunResult balance_run(const model::System& system, const Network& network, Index run,
                      const std::vector<Index>& open_valves, bool record_steps) {
    const Prepared prepared = prepare(network);
    RunResult result;
    Balancer(system, network, prepared).balance(run, open_valves, result, record_steps);
    return result;
}

RunResult balance_shut(const model::System& system, const Network& network) {
    RunResult result;
    std::vector<char> open = open_elements(network, {});
    for (std::size_t e = at(network.first_head); e < open.size(); ++e) open[e] = 0;
    State state = reach(network, open);
    spread_still_heights(network, state);
    result.closure = check_closure(network, state);
    ResultWriter(system, network).write(state, result);
    return result;
}

}  // namespace evenhead::solver
