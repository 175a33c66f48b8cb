// Let x hold the heights H of the nodes and the flows q of the elements of a balanced run, and F(x, t) = 0
// its equations for an input t: at each node what comes in goes out, and for each element one of
//     H_tail - H_head - d(q) = 0  (curve),    q - Q = 0  (upright),    H_head - S = 0  (holding).
// With J = dF/dx, a change of the input moves x by dx/dt = -J^-1 dF/dt. The pressure at a nozzle, p = H_tail
// - z
// - m q^2 (z its elevation, m its swing joint's resistance), then moves by
//     dp/dt = (dp/dt at fixed x) - w . dF/dt,   J^T w = dp/dx,
// so that one solve with the transposed tangents (the adjoint) serves all inputs: w is the same for each, and
// of F an input moves only the laws that it belongs to. A loss d that rises by 1 m lowers F by 1 m: p gains
// w.
//
// Flows are counted in shares of the run's total flow, so that rows and columns are of one size.
#include "solver/review/tangents.hpp"

#include <Eigen/Sparse>
#include <Eigen/SparseLU>

#include <algorithm>
#include <cmath>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

constexpr double held_within = 1e-6, passes_above = 1e-7;  // m, as regulators are told to hold in a result

}  // namespace

struct Tangents::System {
    std::vector<int> elements;
    std::vector<Stance> stance;  // by element of the network
    std::vector<int> node;       // unknown, by node of the network; -1: none
    std::vector<int> place;      // in `elements`, by element of the network
    int nodes = 0;
    double scale = 0;  // m3/s
    Eigen::SparseLU<Eigen::SparseMatrix<double>, Eigen::COLAMDOrdering<int>> transposed;
    bool regular = false;
};

namespace {

/// The stance of an active element by itself.
Stance stance_of(const Network& net, const State& state, int e) {
    const Element& element = net.elements[at(e)];
    const double q = state.flow[at(e)];
    if (element.regulates()) {
        const double inlet = state.height[at(element.tail)], outlet = state.height[at(element.head)];
        const bool presses = inlet - element.law->losses(q).high > element.held_height + passes_above;
        if (presses && outlet > element.held_height - held_within) return Stance::holding;
        return q == 0 ? Stance::upright : Stance::curve;
    }
    if (e >= net.first_head) {
        const double D = state.height[at(element.tail)] - element.fixed_height;
        if (!(D > 0) || !(q > 0) || q >= element.law->high()) return Stance::upright;
    }
    if (q == 0 && element.one_way) return Stance::upright;
    return std::isfinite(element.law->slope(q)) ? Stance::curve : Stance::upright;
}

/// Nodes whose height something fixes: a curve leads there from a fixed height, or a regulator holds it.
std::vector<char> anchored_nodes(const Network& net, const std::vector<int>& active,
                                 const std::vector<Stance>& stance) {
    std::vector<char> anchored(net.node_elevation.size(), 0);
    std::vector<int> front;
    const auto add = [&](int node) {
        if (node == fixed || anchored[at(node)] != 0) return;
        anchored[at(node)] = 1;
        front.push_back(node);
    };
    for (const int e : active) {
        const auto [tail, head] = net.ends[at(e)];
        if (stance[at(e)] == Stance::holding) add(head);
        if (stance[at(e)] != Stance::curve) continue;
        if (tail == fixed) add(head);
        if (head == fixed) add(tail);
    }
    while (!front.empty()) {
        const int node = front.back();
        front.pop_back();
        for (int i = net.link_start[at(node)]; i < net.link_start[at(node) + 1]; ++i) {
            const int e = net.links[at(i)];
            if (stance[at(e)] != Stance::curve) continue;
            add(net.ends[at(e)].tail);
            add(net.ends[at(e)].head);
        }
    }
    return anchored;
}

}  // namespace

Tangents::Tangents(const Network& network, const State& state)
    : system_(std::make_unique<System>()), net_(network), state_(state) {
    System& of = *system_;
    of.stance.assign(net_.elements.size(), Stance::out);
    std::vector<int> active;
    for_each(state.elements, [&](int e) {
        if (state.active[at(e)] == 0) return;
        active.push_back(e);
        of.stance[at(e)] = stance_of(net_, state, e);
        if (e >= net_.first_head) of.scale += state.flow[at(e)];
    });
    const std::vector<char> anchored = anchored_nodes(net_, active, of.stance);
    const auto stands = [&](int node) { return node == fixed || anchored[at(node)] != 0; };
    of.place.assign(net_.elements.size(), -1);
    for (const int e : active) {
        if (!stands(net_.ends[at(e)].tail) || !stands(net_.ends[at(e)].head)) {
            of.stance[at(e)] = Stance::out;
            continue;
        }
        of.place[at(e)] = static_cast<int>(of.elements.size());
        of.elements.push_back(e);
    }
    of.node.assign(anchored.size(), -1);
    for_each(state.nodes, [&](int node) {
        if (anchored[at(node)] != 0) of.node[at(node)] = of.nodes++;
    });
    if (!(of.scale > 0)) return;

    // Transposed: the row is the unknown (heights, then flows), the column the equation (nodes, then
    // elements).
    std::vector<Eigen::Triplet<double>> entries;
    const double least_slope = level_share / of.scale;  // a ring that stands still would leave its flow open
    for (std::size_t i = 0; i < of.elements.size(); ++i) {
        const int e = of.elements[i], unknown = of.nodes + static_cast<int>(i), equation = unknown;
        const auto [tail, head] = net_.ends[at(e)];
        const Stance stance = of.stance[at(e)];
        const auto height = [&](int node, double factor) {
            if (node != fixed) entries.emplace_back(of.node[at(node)], equation, factor);
        };
        if (tail != fixed) entries.emplace_back(unknown, of.node[at(tail)], -1);
        if (head != fixed) entries.emplace_back(unknown, of.node[at(head)], 1);
        if (stance == Stance::curve) {
            height(tail, 1);
            height(head, -1);
            const double slope = net_.elements[at(e)].law->slope(state.flow[at(e)]);
            entries.emplace_back(unknown, equation, -(slope + least_slope) * of.scale);
        } else if (stance == Stance::holding) {
            height(head, 1);
        } else {
            entries.emplace_back(unknown, equation, 1);
        }
    }
    const auto size = of.nodes + static_cast<int>(of.elements.size());
    Eigen::SparseMatrix<double> matrix(size, size);
    matrix.setFromTriplets(entries.begin(), entries.end());
    of.transposed.compute(matrix);
    of.regular = of.transposed.info() == Eigen::Success;
}

Tangents::~Tangents() = default;

bool Tangents::regular() const {
    return system_->regular;
}
const std::vector<int>& Tangents::elements() const {
    return system_->elements;
}
Stance Tangents::stance(int element) const {
    return system_->stance[at(element)];
}
double Tangents::flow(int element) const {
    return state_.flow[at(element)];
}

bool Tangents::holds(Index head) const {
    const Element& element = net_.elements[at(net_.first_head + head)];
    return net_.head_laws[at(head)]->holding(state_.height[at(element.tail)] - element.fixed_height);
}

std::vector<double> Tangents::weights(Index head) const {
    const System& of = *system_;
    const int e = net_.first_head + head;
    if (!of.regular || of.place[at(e)] < 0 || !(state_.flow[at(e)] > 0)) return {};
    const HeadLaw& law = *net_.head_laws[at(head)];
    Eigen::VectorXd gradient =
        Eigen::VectorXd::Zero(of.nodes + static_cast<Eigen::Index>(of.elements.size()));
    if (!holds(head)) {
        gradient[of.node[at(net_.elements[at(e)].tail)]] = 1;
        gradient[of.nodes + of.place[at(e)]] = -2 * law.joint_resistance() * state_.flow[at(e)] * of.scale;
    }
    const Eigen::VectorXd solution = of.transposed.solve(gradient);
    std::vector<double> weights;
    weights.reserve(of.elements.size());
    for (std::size_t i = 0; i < of.elements.size(); ++i) {
        const double weight = solution[of.nodes + static_cast<Eigen::Index>(i)];
        weights.push_back(of.stance[at(of.elements[i])] == Stance::upright ? weight / of.scale : weight);
    }
    return weights;
}

}  // namespace evenhead::solver
