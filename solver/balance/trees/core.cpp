#include "solver/balance/trees/core.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "model/position.hpp"
#include "solver/balance/newton/chain_tree.hpp"
#include "solver/balance/trees/kernels.hpp"

namespace evenhead::solver {

Core::Core(const Network& network, const Structure& structure, const Parameters& parameters)
    : net_(network),
      structure_(structure),
      set_(parameters),
      chain_ends_(structure.chain_ends),
      elimination_(static_cast<int>(structure.junction_node.size()), structure.chain_ends),
      blocks_(network, structure),
      tap_at_(structure.core_node.size(), -1),
      conductance_(structure.chains.size()),
      to_fixed_(structure.junction_node.size()),
      b_(structure.junction_node.size()),
      junction_height_(structure.junction_node.size()) {
    const std::size_t supplies = structure.supply_junction.size();
    supply_flow_.resize(supplies);
    supply_slope_.resize(supplies);
    supply_e_.resize(supplies);
}

void Core::tap(const Taps& taps, double total, double level) {
    total_ = total;
    level_ = level;
    for (const int tap : order_) tap_at_[at(structure_.step_node[at(tap)])] = -1;
    order_.clear();
    junction_tap_.clear();
    for (std::size_t tap = 0; tap < taps.count(); ++tap) {
        const int core = taps.core[tap], step = structure_.step_to[at(core)];
        if (step < 0) {
            junction_tap_.push_back(static_cast<int>(tap));
        } else {
            order_.push_back(step);
            tap_at_[at(core)] = static_cast<int>(tap);
        }
    }
    std::sort(order_.begin(), order_.end());

    segments_.clear();
    first_segment_.clear();
    auto next = order_.begin();
    auto other = set_.other_steps.begin();
    const auto others_before = [&](int step) {
        while (other != set_.other_steps.end() && *other < step) ++other;
        return static_cast<int>(other - set_.other_steps.begin());
    };
    for (const CoreChain& chain : structure_.chains) {
        first_segment_.push_back(static_cast<int>(segments_.size()));
        int first = chain.first;
        while (first < chain.last) {
            const bool taps_inside = next != order_.end() && *next < chain.last;
            const int last = taps_inside ? *next++ + 1 : chain.last;
            const int tap = taps_inside ? tap_at_[at(structure_.step_node[at(last - 1)])] : -1;
            const int other_first = others_before(first), other_last = others_before(last);
            segments_.push_back({first, last, tap, other_first, other_last});
            first = last;
        }
    }
    first_segment_.push_back(static_cast<int>(segments_.size()));
    std::vector<int> junctions, chains;
    for (const int tap : junction_tap_) junctions.push_back(structure_.junction[at(taps.core[at(tap)])]);
    for (std::size_t c = 0; c < chain_ends_.size(); ++c) {
        if (first_segment_[c + 1] - first_segment_[c] > 1) chains.push_back(static_cast<int>(c));
    }
    carries_ = blocks_.carrying(junctions, chains);

    const std::size_t count = segments_.size();
    for (auto* column : {&r_, &m_, &drop_, &slope_, &e_, &floor_}) column->assign(padded(count), 0.0);
    flow_.assign(padded(count), 1.0);
    for (auto* column : {&G_, &over_d_, &beta_, &g_}) column->resize(count);
    const double small = 1e-6 * total_;
    for (std::size_t s = 0; s < count; ++s) {
        const Segment& segment = segments_[s];
        const PowerLaw law = power_of(segment);
        floor_[s] = law.slope(small) + level_;
        if (segment.other_first < segment.other_last) continue;
        r_[s] = law.r();
        m_[s] = law.m();
    }
}

// What a segment's power laws sum up to.
PowerLaw Core::power_of(const Segment& segment) const {
    return {set_.r_before[at(segment.last)] - set_.r_before[at(segment.first)],
            set_.m_before[at(segment.last)] - set_.m_before[at(segment.first)], false};
}

// Of a step with another law than a power law, along the chain.
double Core::other_loss(std::size_t step, double q) const {
    const Law& law = *net_.elements[at(structure_.step_element[step])].law;
    const double own = std::clamp(structure_.step_backward[step] ? -q : q, law.low(), law.high());
    return structure_.step_backward[step] ? -law.loss(own) : law.loss(own);
}

// The laws of a segment that are no power laws, and the sums of those that are.
double Core::loss_of_others(const Segment& segment, double q, double& slope) const {
    const PowerLaw law = power_of(segment);
    double loss = law.loss(q);
    slope = law.slope(q);
    for (int i = segment.other_first; i < segment.other_last; ++i) {
        const std::size_t step = at(set_.other_steps[at(i)]);
        const Law& other = *net_.elements[at(structure_.step_element[step])].law;
        const double own = std::clamp(structure_.step_backward[step] ? -q : q, other.low(), other.high());
        loss += structure_.step_backward[step] ? -other.loss(own) : other.loss(own);
        slope += other.slope(own);
    }
    return loss;
}

void Core::start(Taps& taps) {
    const double q = 0.3 * total_, power = std::pow(q, 0.852);
    for (std::size_t s = 0; s < segments_.size(); ++s) {
        slope_[s] = r_[s] * power + m_[s] * q + level_;
        e_[s] = 0;
        const Segment& segment = segments_[s];
        if (segment.other_first == segment.other_last) continue;
        const std::size_t step = at(set_.other_steps[at(segment.other_first)]);
        double slope;
        const double along = structure_.step_backward[step] ? -q : q,
                     loss = loss_of_others(segment, along, slope);
        slope_[s] = slope + level_;
        e_[s] = slope_[s] * along - loss;
    }
    for (std::size_t s = 0; s < supply_flow_.size(); ++s) {
        supply_slope_[s] = net_.elements[s].law->loss(q) / q + level_;
        supply_e_[s] = 0;
    }
    step(taps);
}

double Core::linearise() {
    double worst = linearise_links(
        {segments_.size(), r_.data(), m_.data(), flow_.data(), drop_.data(), slope_.data(), e_.data()},
        floor_.data());
    for (std::size_t s = 0; s < segments_.size(); ++s) {
        const Segment& segment = segments_[s];
        if (segment.other_first == segment.other_last) continue;
        double slope;
        const double loss = loss_of_others(segment, flow_[s], slope);
        worst = std::max(worst, std::abs(loss - drop_[s]));
        slope_[s] = std::max(slope, floor_[s]);
        e_[s] = slope_[s] * flow_[s] - loss;
    }
    for (std::size_t s = 0; s < supply_flow_.size(); ++s) {
        const Law& law = *net_.elements[s].law;
        const double q = supply_flow_[s], loss = law.loss(q);
        const double height = net_.elements[s].fixed_height - set_.datum;
        worst =
            std::max(worst, std::abs(height - loss - junction_height_[at(structure_.supply_junction[s])]));
        supply_slope_[s] = std::max(law.slope(q), level_);
        supply_e_[s] = supply_slope_[s] * q - loss;
    }
    return worst;
}

void Core::step(Taps& taps) {
    std::fill(to_fixed_.begin(), to_fixed_.end(), 0.0);
    std::fill(b_.begin(), b_.end(), 0.0);
    for (const int tap : junction_tap_) {
        const std::size_t junction = at(structure_.junction[at(taps.core[at(tap)])]);
        to_fixed_[junction] += taps.A[at(tap)];
        b_[junction] -= taps.B[at(tap)];
    }
    for (std::size_t s = 0; s < supply_flow_.size(); ++s) {
        const std::size_t junction = at(structure_.supply_junction[s]);
        const double g = 1 / supply_slope_[s];
        to_fixed_[junction] += g;
        b_[junction] += g * (net_.elements[s].fixed_height - set_.datum + supply_e_[s]);
    }
    for (std::size_t c = 0; c < chain_ends_.size(); ++c) {
        const auto first = at(first_segment_[c]), last = at(first_segment_[c + 1]);
        double G = 1 / slope_[first], k = e_[first] * G, f = k, a = 0, p = 0;
        for (std::size_t s = first; s + 1 < last; ++s) {
            const std::size_t tap = at(segments_[s].tap);
            const double g = 1 / slope_[s + 1], c_next = e_[s + 1] * g;
            const double A = taps.A[tap] + p, over_d = 1 / (G + g + A), b = k - c_next - taps.B[tap];
            G_[s] = G;
            g_[s] = g;
            over_d_[s] = over_d;
            beta_[s] = b;
            a += G * A * over_d;
            f -= G * b * over_d;
            p = g * A * over_d;
            k = c_next + g * b * over_d;
            G = G * g * over_d;
        }
        const auto [from, to] = chain_ends_[c];
        conductance_[c] = G;
        to_fixed_[at(from)] += a;
        to_fixed_[at(to)] += p;
        b_[at(from)] -= f;
        b_[at(to)] += k;
    }
    elimination_.factorise(conductance_, to_fixed_);
    elimination_.solve(b_);
    junction_height_ = b_;
    for (const int tap : junction_tap_)
        taps.height[at(tap)] = junction_height_[at(structure_.junction[at(taps.core[at(tap)])])];
    for (std::size_t c = 0; c < chain_ends_.size(); ++c) {
        const auto first = at(first_segment_[c]), last = at(first_segment_[c + 1]);
        const double left = junction_height_[at(chain_ends_[c].first)];
        double right = junction_height_[at(chain_ends_[c].second)];
        for (std::size_t s = last - 1; s > first; --s) {
            const double height = (G_[s - 1] * left + g_[s - 1] * right + beta_[s - 1]) * over_d_[s - 1];
            taps.height[at(segments_[s - 1].tap)] = height;
            drop_[s] = height - right;
            right = height;
        }
        drop_[first] = left - right;
    }
    for (std::size_t s = 0; s < segments_.size(); ++s) flow_[s] = (drop_[s] + e_[s]) / slope_[s];
    for (std::size_t s = 0; s < supply_flow_.size(); ++s) {
        const double drop =
            net_.elements[s].fixed_height - set_.datum - junction_height_[at(structure_.supply_junction[s])];
        supply_flow_[s] = (drop + supply_e_[s]) / supply_slope_[s];
    }
}

void Core::close(const Taps& taps) {
    const std::size_t chains = chain_ends_.size(), supplies = supply_flow_.size();
    std::vector<Ends> ends;
    std::vector<double> steepest, flow;  // by chain, then by supply: of the flow at its start
    std::vector<double> drawn(chains, 0.0);
    for (std::size_t c = 0; c < chains; ++c) {
        ends.push_back({chain_ends_[c].first, chain_ends_[c].second});
        double steep = -1, own = 0;
        for (auto s = at(first_segment_[c]); s < at(first_segment_[c + 1]); ++s) {
            if (slope_[s] > steep) {
                steep = slope_[s];
                own = flow_[s] + drawn[c];
            }
            if (segments_[s].tap >= 0) drawn[c] += taps.draw[at(segments_[s].tap)];
        }
        steepest.push_back(steep);
        flow.push_back(carries_[c] ? own : 0.0);
    }
    for (std::size_t s = 0; s < supplies; ++s) {
        ends.push_back({fixed, structure_.supply_junction[s]});
        steepest.push_back(supply_slope_[s]);
        flow.push_back(supply_flow_[s]);
    }
    std::vector<int> order(ends.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(),
                     [&](int one, int other) { return steepest[at(one)] < steepest[at(other)]; });
    const std::vector<int> tree = joining_chains(junction_height_.size(), ends, order);
    std::vector<char> in_tree(ends.size(), 0);
    for (const int c : tree) in_tree[at(c)] = 1;
    std::vector<double> excess(junction_height_.size(), 0.0);
    for (const int tap : junction_tap_)
        excess[at(structure_.junction[at(taps.core[at(tap)])])] -= taps.draw[at(tap)];
    for (std::size_t c = 0; c < chains; ++c) {
        const auto [from, to] = chain_ends_[c];
        if (!in_tree[c]) excess[at(from)] -= flow[c];
        excess[at(to)] += (in_tree[c] ? 0 : flow[c]) - drawn[c];
    }
    for (std::size_t s = 0; s < supplies; ++s) {
        if (!in_tree[chains + s]) excess[at(structure_.supply_junction[s])] += flow[chains + s];
    }
    ChainTree(junction_height_.size(), ends, tree).drain(excess, flow);
    for (double& q : flow) {
        if (std::abs(q) < trickle) q = 0;
    }
    for (std::size_t c = 0; c < chains; ++c) {
        double q = flow[c];
        for (auto s = at(first_segment_[c]); s < at(first_segment_[c + 1]); ++s) {
            flow_[s] = q;
            if (segments_[s].tap >= 0) q -= taps.draw[at(segments_[s].tap)];
        }
    }
    for (std::size_t s = 0; s < supplies; ++s) {
        supply_flow_[s] = flow[chains + s];
        if (supply_slope_[s] > level_) continue;
        // One that loses nothing holds its very height.
        junction_height_[at(structure_.supply_junction[s])] = net_.elements[s].fixed_height - set_.datum;
    }
}

bool Core::write(State& state) const {
    for (std::size_t s = 0; s < supply_flow_.size(); ++s) state.flow[s] = supply_flow_[s];
    for (std::size_t j = 0; j < junction_height_.size(); ++j) {
        const std::size_t core = at(structure_.junction_node[j]);
        if (structure_.core_reached[core])
            state.height[at(structure_.core_node[core])] = junction_height_[j] + set_.datum;
    }
    for (std::size_t c = 0; c < chain_ends_.size(); ++c) {
        const CoreChain& chain = structure_.chains[c];
        if (!structure_.core_reached[at(structure_.junction_node[at(chain.from)])]) continue;
        double height = junction_height_[at(chain.from)] + set_.datum;
        for (auto s = at(first_segment_[c]); s < at(first_segment_[c + 1]); ++s) {
            const Segment& segment = segments_[s];
            const double q = flow_[s], power = std::pow(std::abs(q), 0.852) * q, square = std::abs(q) * q;
            int other = segment.other_first;
            for (auto step = at(segment.first); step < at(segment.last); ++step) {
                state.flow[at(structure_.step_element[step])] = structure_.step_backward[step] ? 0 - q : q;
                height -= set_.step_r[step] * power + set_.step_m[step] * square;
                if (other < segment.other_last && at(set_.other_steps[at(other)]) == step) {
                    height -= other_loss(step, q);
                    ++other;
                }
                if (step + 1 < at(chain.last))
                    state.height[at(structure_.core_node[at(structure_.step_node[step])])] = height;
            }
        }
    }
    return std::none_of(set_.one_way_elements.begin(), set_.one_way_elements.end(),
                        [&](int element) { return state.flow[at(element)] < 0; });
}

}  // namespace evenhead::solver
