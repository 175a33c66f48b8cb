// Where the flows q are known, the loss of a pipe that is laid in several sizes, a share x_d of each, is
// linear in x, and so is its cost: a linear programme (flow_programme.cpp with intervals that have no width).
// Flows hang on sizes: from the largest choices on, the programme's pipes are rounded to whole ones, these
// are balanced, and their flows make the next programme, a few times. A head may have any pressure within its
// limits in the programme, although its draw belongs to one: that it is near enough the next balance sees to.
#include "solver/sizing/continuous.hpp"

#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/sizing/flow_programme.hpp"
#include "solver/sizing/search.hpp"

namespace evenhead::solver {
namespace {

constexpr int rounds = 4;
constexpr std::size_t most_rows = 20000;  // of a programme: beyond, a search of the same time is worth more

/// The flows of every pair, and by open pipe the largest of them; empty where a pair has no solution.
FlowBox flows_of(Trial& trial, const std::vector<FlowGraph>& graphs, std::vector<double>& largest) {
    FlowBox flows;
    for (const FlowGraph& graph : graphs) {
        if (!trial.balance(graph.pair)) return {};
        const std::vector<double>& flow = trial.state().flow;
        std::vector<Interval>& of = flows.emplace_back();
        for (const int link : graph.coordinate) {
            const double here = flow[at(graph.links[at(link)].element)];
            if (std::isnan(here)) return {};
            of.push_back({here, here});
        }
        for (const FlowLink& link : graph.links)
            if (link.open >= 0)
                largest[at(link.open)] = std::max(largest[at(link.open)], std::abs(flow[at(link.element)]));
    }
    return flows;
}

/// The smallest choice that loses no more at this flow than the shares do together.
int rounded(const TrialBasis& basis, std::size_t open, const std::vector<double>& shares, double flow) {
    const TrialBasis::SituationBasis& given = basis.situations.front();
    const auto loss = [&](std::size_t choice) {
        const Network& net = given.networks[choice];
        return net.elements[at(net.first_pipe + basis.problem.open[open].pipe)].law->loss(flow);
    };
    double together = 0;
    for (std::size_t c = 0; c < shares.size(); ++c) together += shares[c] * loss(c);
    std::size_t choice = 0;
    while (choice + 1 < shares.size() && loss(choice) > together * (1 + 1e-6)) ++choice;
    return static_cast<int>(choice);
}

}  // namespace

Design continuous_start(const TrialBasis& basis, long& balances, const std::function<bool()>& keep_going) {
    const SizingProblem& problem = basis.problem;
    std::vector<FlowGraph> graphs;
    std::size_t rows = 0;
    for (std::size_t pair = 0; pair < basis.pairs.size(); ++pair) {
        graphs.push_back(make_flow_graph(basis, static_cast<int>(pair)));
        rows += graphs.back().links.size();
        if (rows > most_rows) return {};
    }
    Design design = largest_choices(problem), best;
    Trial trial(basis, design);
    for (int round = 0; round < rounds; ++round) {
        if (round > 0 && keep_going && !keep_going()) break;
        std::vector<double> largest(problem.open.size(), 0);
        trial.set(design);
        const FlowBox flows = flows_of(trial, graphs, largest);
        const Shares shares = flows.empty() ? Shares() : shares_at(flows, graphs, basis);
        if (shares.empty()) break;
        const Design before = design;
        for (std::size_t o = 0; o < design.size(); ++o) {
            const int choice =
                largest[o] > 0 ? rounded(basis, o, shares[o], largest[o]) : problem.open[o].cheapest();
            Design changed = design;
            std::vector<std::size_t> which;
            if (change_telescoping(problem, changed, o, choice, which)) design = std::move(changed);
        }
        best = design;
        if (design == before) break;
    }
    balances += trial.balances();
    return best;
}

}  // namespace evenhead::solver
