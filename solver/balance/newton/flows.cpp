#include "solver/balance/newton/flows.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "solver/balance/newton/chain_tree.hpp"

namespace evenhead::solver {
namespace {

// What flows are held to: half of what the closure allows, or less (closure.cpp).
constexpr double closed = 4e-7;         // m
constexpr double closed_share = 3e-10;  // of the largest flow at a point
constexpr double closed_flow = 2e-14;   // m3/s

std::vector<Ends> ends_of(const Reduction& reduction) {
    std::vector<Ends> ends;
    for (const Chain& chain : reduction.chains) ends.push_back({chain.from, chain.to});
    return ends;
}

// Chains that join every point to the fixed heights (Kruskal): first those that may carry any flow, then
// those with an end to their domain, which what is missing might carry them over; each by their slope.
std::vector<int> flattest_tree(const Iterate& it, const std::vector<Ends>& ends) {
    std::vector<int> order;
    for (std::size_t c = 0; c < it.chains(); ++c) {
        if (!it.alone(c)) order.push_back(static_cast<int>(c));
    }
    const auto rank = [&](int c) {
        const Series& law = it.reduction.laws[at(c)];
        const bool ended = std::isfinite(law.low()) || std::isfinite(law.high());
        return std::tuple(ended, it.slope[at(c)], c);
    };
    std::sort(order.begin(), order.end(), [&](int a, int b) { return rank(a) < rank(b); });
    return joining_chains(it.points(), ends, order);
}

// What the chosen chains bring to the points too much, m3/s.
template <class Chosen>
std::vector<double> excess_at_points(const Iterate& it, Chosen chosen) {
    std::vector<double> excess(it.points(), 0.0);
    for (std::size_t c = 0; c < it.chains(); ++c) {
        if (it.alone(c) || !chosen(c)) continue;
        const Chain& chain = it.reduction.chains[c];
        if (chain.from != fixed) excess[at(chain.from)] -= it.flow[c];
        if (chain.to != fixed) excess[at(chain.to)] += it.flow[c];
    }
    return excess;
}

}  // namespace

FirstFlows first_flows(const Reduction& reduction) {
    const std::size_t count = reduction.chains.size();
    FirstFlows first{std::vector<double>(count, 0.0), std::vector<char>(count, 0),
                     std::vector<double>(reduction.branch_node.size(), 0.0)};
    std::vector<int> allowed;
    for (std::size_t c = 0; c < count; ++c) {
        const Chain& chain = reduction.chains[c];
        if (chain.from == chain.to) continue;
        if (chain.source || (chain.from != fixed && chain.to != fixed)) {
            allowed.push_back(static_cast<int>(c));
            continue;
        }
        first.flow[c] = chain.nominal;
        first.given[c] = 1;
        first.passing[at(chain.from == fixed ? chain.to : chain.from)] -= std::abs(chain.nominal);
    }
    const std::vector<Ends> ends = ends_of(reduction);
    const ChainTree tree(reduction.branch_node.size(), ends, allowed);
    tree.drain(first.passing, first.flow);
    for (const int c : tree.chains()) first.given[at(c)] = 1;
    for (double& flow : first.passing) flow = std::abs(flow);
    return first;
}

void close_flows(Iterate& it) {
    const std::vector<Ends> ends = ends_of(it.reduction);
    const std::vector<int> chosen = flattest_tree(it, ends);
    const ChainTree tree(it.points(), ends, chosen);
    std::vector<char> across(it.chains(), 1);
    for (const int c : chosen) across[at(c)] = 0;
    for (std::size_t c = 0; c < it.chains(); ++c) {
        const Series& law = it.reduction.laws[c];
        const double curve = it.at_flow[c], chord = std::clamp(it.flow[c], law.low(), law.high());
        const LossRange range = law.losses(curve);
        const double off = off_curve(law, chord, it.at_height[c]);
        const bool upright = (range.high > range.low || curve == 0) && off > enough;
        // So steep that the rounding of flows shows in its height: the tree takes that up better.
        const bool steep =
            off > closed && std::abs(curve) > trickle && it.without_rounding(curve - chord) == 0;
        it.flow[c] = steep ? curve : it.without_rounding(upright || it.alone(c) ? curve : chord);
    }
    double before = infinity;
    for (;;) {
        std::vector<double> excess = excess_at_points(it, [&](std::size_t c) { return across[c] != 0; });
        tree.drain(excess, it.flow);
        for (const int c : chosen) {
            // Rounding may have carried it out of its domain: a one-way element never passes less than
            // nothing.
            const Series& law = it.reduction.laws[at(c)];
            it.flow[at(c)] = std::clamp(it.without_rounding(it.flow[at(c)]), law.low(), law.high());
        }
        double left = 0;
        for (const double amount : excess_at_points(it, [](std::size_t) { return true; }))
            left = std::max(left, std::abs(amount));
        if (left <= 3 * trickle || !(left < before)) return;
        before = left;
        // Trickles that run in where nothing runs out.
        for (std::size_t c = 0; c < it.chains(); ++c) {
            if (across[c] && std::abs(it.flow[c]) <= 3 * left &&
                off_curve(it.reduction.laws[c], 0, it.height_along(c)) <= enough)
                it.flow[c] = 0;
        }
    }
}

bool flows_close(const Iterate& it) {
    const double near = closed + 1e-13 * it.largest_height;
    for (std::size_t c = 0; c < it.chains(); ++c) {
        if (it.alone(c)) continue;
        const Series& law = it.reduction.laws[c];
        const double q = it.flow[c], D = it.height_along(c);
        if (D < law.losses(std::max(law.low(), q - trickle)).low - near) return false;
        if (D > law.losses(std::min(law.high(), q + trickle)).high + near) return false;
    }
    std::vector<double> largest(it.points(), 0.0);
    for (std::size_t c = 0; c < it.chains(); ++c) {
        const Chain& chain = it.reduction.chains[c];
        for (const int point : {chain.from, chain.to}) {
            if (point != fixed) largest[at(point)] = std::max(largest[at(point)], std::abs(it.flow[c]));
        }
    }
    const std::vector<double> excess = excess_at_points(it, [](std::size_t) { return true; });
    for (std::size_t point = 0; point < it.points(); ++point) {
        if (std::abs(excess[point]) > closed_share * largest[point] + closed_flow) return false;
    }
    return true;
}

}  // namespace evenhead::solver
