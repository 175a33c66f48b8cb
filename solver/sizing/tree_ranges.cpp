// In a tree, the height at a node rises with the size of every pipe on its way from the root and falls with
// that of every other pipe (all laws rise: a larger pipe off the way lets more through, and what feeds both
// gives way). So over a box the lowest height at a node is where its way has the smallest and all else the
// largest choices, the highest where it is the other way round: two balances. From them:
//
// - a head whose highest pressure is below what it wants, or whose lowest is above what it may have, ends the
//   box;
// - no design of the box has its highest head of a zone below M, the largest of the lowest pressures, so
//   spread s wants every head of the zone at M - s B at least (B the base of the rule), or at M (1 - s) where
//   the base is the mean, which is never above the highest;
// - a pipe whose least flow is too fast for its smallest choice loses that choice, as one does that is larger
//   than the largest choice of its feeder (or smaller than the smallest of what it feeds).
#include "solver/sizing/tree_ranges.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "model/position.hpp"
#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

bool too_fast(const TreeOption& option, double flow) {
    return option.area > 0 && flow / option.area > option.most_velocity * (1 + 2e-7);
}

}  // namespace

TreeRanges::TreeRanges(const TrialBasis& basis, const TreeZone& zone, Trial& trial, Design start)
    : basis_(basis),
      problem_(basis.problem),
      zone_(zone),
      situation_(basis.pairs[at(zone.pair)].situation),
      limits_(basis.situations[at(situation_)]),
      trial_(trial),
      start_(std::move(start)) {
    find_zones();
}

bool TreeRanges::narrow(TreeBox& box) {
    for (int round = 0; round < 3; ++round) {
        bool changed = false;
        if (!keep_telescoping(box) || !find_heights(box) || !find_wanted(box) || !keep_velocity(box, changed))
            return false;
        if (!changed) break;
    }
    return true;
}

/// The heads of each valve's zone among the tree's, for spread.
void TreeRanges::find_zones() {
    const SizingProblem::Situation& of = problem_.situations[at(situation_)];
    const RunPair& pair = basis_.pairs[at(zone_.pair)];
    for (const Index valve : of.system.runs[at(pair.run)].valves) {
        std::vector<std::pair<int, Index>> heads;
        for (std::size_t v = 0; v < zone_.nodes.size(); ++v)
            for (const int head : zone_.nodes[v].heads) {
                const auto& all = of.layout.zone_heads[at(valve)];
                if (std::find(all.begin(), all.end(), head) != all.end() &&
                    !limits_.heads[at(head)].constant_draw)
                    heads.emplace_back(static_cast<int>(v), head);
            }
        if (heads.size() > 1) zones_.push_back(std::move(heads));
    }
}

/// Feeders among the open pipes bound each other; false where nothing is left.
bool TreeRanges::keep_telescoping(TreeBox& box) const {
    for (bool changed = true; changed;) {
        changed = false;
        for (std::size_t o = 0; o < problem_.open.size(); ++o) {
            if (box.low[o] > box.high[o]) return false;
            const Index feeder = problem_.open[o].feeder;
            if (feeder == model::none) continue;
            const int of = problem_.open_of_pipe[at(feeder)];
            const auto& own = problem_.open[o].choices;
            const model::PipeSize& largest = of >= 0
                                                 ? *problem_.open[at(of)].choices[at(box.high[at(of)])].size
                                                 : *problem_.system.pipes[at(feeder)].size;
            while (box.high[o] >= box.low[o] && exceeds(*own[at(box.high[o])].size, largest)) {
                --box.high[o];
                changed = true;
            }
            if (box.low[o] > box.high[o]) return false;
            if (of < 0) continue;
            const auto& above = problem_.open[at(of)].choices;
            while (box.low[at(of)] <= box.high[at(of)] &&
                   exceeds(*own[at(box.low[o])].size, *above[at(box.low[at(of)])].size)) {
                ++box.low[at(of)];
                changed = true;
            }
            if (box.low[at(of)] > box.high[at(of)]) return false;
        }
    }
    return true;
}

/// Lowest and highest heights; false where the box holds nothing.
bool TreeRanges::find_heights(TreeBox& box) {
    const std::size_t count = zone_.nodes.size();
    const Network& net = trial_.network(situation_);
    box.least.assign(count, -infinity);
    box.most.assign(count, infinity);
    const double top_of_all = highest_height(net);
    for (std::size_t v = 0; v < count; ++v) {
        // Of very many those that matter.
        const bool passed_over =
            v != 0 && zone_.nodes[v].heads.empty() && zone_.nodes[v].children.size() == 1 && count > 400;
        for (const bool highest : {false, true}) {
            if (passed_over) break;
            Design design = start_;
            for (const TreeNode& node : zone_.nodes)
                if (node.open >= 0) design[at(node.open)] = (highest ? box.low : box.high)[at(node.open)];
            for (int up = static_cast<int>(v); up > 0; up = zone_.nodes[at(up)].parent)
                if (const int open = zone_.nodes[at(up)].open; open >= 0)
                    design[at(open)] = (highest ? box.high : box.low)[at(open)];
            trial_.set(design);
            if (!trial_.balance(zone_.pair)) continue;  // then nothing is known
            const double height = trial_.state().height[at(zone_.nodes[v].node)];
            if (std::isnan(height)) continue;
            constexpr double rounding = 1e-6;  // m
            (highest ? box.most[v] : box.least[v]) = height + (highest ? rounding : -rounding);
        }
        box.most[v] = std::min(box.most[v], top_of_all);
        for (const int head : zone_.nodes[v].heads)
            if (box.least[v] > -infinity &&
                outside(pressure_at(head, box.least[v]) - 0.02, limits_.heads[at(head)].most, true,
                        model::Dimension::pressure))
                return false;
    }
    return true;
}

/// Pa at the nozzle where its point has this height (m).
double TreeRanges::pressure_at(int head, double height) const {
    const Network& net = trial_.network(situation_);
    const HeadLaw& law = *net.head_laws[at(head)];
    const double D = height - net.elements[at(net.first_head + head)].fixed_height;
    return law.nozzle_pressure(D, law.flow(D, 1e-4)) / net.metres_per_pascal;
}

/// What the spread of their zone wants of heads, Pa.
void TreeRanges::want_spread(const TreeBox& box, std::vector<double>& wanted) const {
    const RuleLimit& spread = limits_.rules[RuleId::zone_spread];
    if (spread.off) return;
    for (const auto& heads : zones_) {
        double top = -infinity, design = infinity;
        for (const auto& [v, head] : heads) {
            if (box.least[at(v)] > -infinity) top = std::max(top, pressure_at(head, box.least[at(v)]));
            const double own = limits_.heads[at(head)].design;
            if (!std::isnan(own)) design = std::min(design, own);
        }
        if (top == -infinity) continue;
        const double share = spread.value * (1 + 1e-6);
        // Of a mean: a higher top may want less, or a mean below zero says nothing.
        if (design == infinity && !(share <= 1 && top > 0)) continue;
        const double least = design < infinity ? top - share * design : top * (1 - share);
        for (const auto& [v, head] : heads) wanted[at(head)] = std::max(wanted[at(head)], least);
    }
}

/// The heights that heads want, of themselves and by the spread of their zone; false where one is out of
/// reach.
bool TreeRanges::find_wanted(TreeBox& box) const {
    const std::size_t count = zone_.nodes.size();
    const Network& net = trial_.network(situation_);
    const double mpp = net.metres_per_pascal;
    box.wanted.assign(count, -infinity);
    std::vector<double> pressures(limits_.heads.size(), -infinity);
    for (const TreeNode& node : zone_.nodes)
        for (const int head : node.heads) pressures[at(head)] = limits_.heads[at(head)].least;
    want_spread(box, pressures);
    const bool no_suction = !limits_.rules[RuleId::below_atmosphere].off;
    for (std::size_t v = 0; v < count; ++v) {
        for (const int head : zone_.nodes[v].heads) {
            const double wanted = pressures[at(head)];
            if (wanted == -infinity) continue;
            const double tolerance = 0.02 + 2e-7 * std::abs(wanted);  // Pa: rounding of the rules
            const HeadLaw& law = *net.head_laws[at(head)];
            const double p = (wanted - tolerance) * mpp;
            if (law.set() && p > *law.set()) return false;
            box.wanted[v] = std::max(box.wanted[v], height_in_lateral(law, p) +
                                                        net.elements[at(net.first_head + head)].fixed_height);
        }
        if (no_suction && box.wanted[v] == -infinity) {
            const double least = limits_.rules[RuleId::below_atmosphere].value - 1;
            box.wanted[v] = net.node_elevation[at(zone_.nodes[v].node)] + least * mpp;
        }
        if (box.least[v] == -infinity && box.wanted[v] == -infinity)
            box.least[v] = net.node_elevation[at(zone_.nodes[v].node)] - 20;
        if (std::max(box.least[v], box.wanted[v]) > box.most[v]) return false;
    }
    return true;
}

/// Flows cannot be below what heads pass at their lowest: choices that are too fast even then go.
bool TreeRanges::keep_velocity(TreeBox& box, bool& changed) const {
    if (limits_.rules[RuleId::velocity].off) return true;
    const Network& net = trial_.network(situation_);
    std::vector<double> flow(zone_.nodes.size(), 0);
    for (std::size_t v = zone_.nodes.size(); v-- > 1;) {
        const TreeNode& node = zone_.nodes[v];
        const double height = std::max(box.least[v], box.wanted[v]);
        for (const int head : node.heads)
            flow[v] += net.head_laws[at(head)]->flow(
                height - net.elements[at(net.first_head + head)].fixed_height, 1e-4);
        flow[at(node.parent)] += flow[v];
        if (node.open < 0) {
            if (too_fast(node.options.front(), flow[v])) return false;
            continue;
        }
        int& low = box.low[at(node.open)];
        while (low <= box.high[at(node.open)] && too_fast(node.options[at(low)], flow[v])) {
            ++low;
            changed = true;
        }
        if (low > box.high[at(node.open)]) return false;
    }
    return true;
}

}  // namespace evenhead::solver
