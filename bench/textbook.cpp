// Unknown: a flow q for each element, a height h for each node. With A the incidence of elements on nodes (-1
// where an element leaves, 1 where it enters), d(q) the losses and g = 1/d'(q), a Newton step on
//
//     A q = 0,   h(tail) - h(head) = d(q)
//
// has q' = q + g (h'(tail) - h'(head) - d(q)), so that A q' = 0 is the system A g A^T h' = A (q - g d) (fixed
// heights on the right): symmetric, positive definite, with the pattern of the network.
#include "bench/textbook.hpp"

#include <algorithm>
#include <cmath>

#include "model/position.hpp"

namespace evenhead::bench {

using solver::Element;

namespace {

constexpr int most_steps = 60;

}  // namespace

std::vector<char> open_with(const solver::Network& network, const std::vector<solver::Index>& valves) {
    std::vector<char> open(network.elements.size(), 1);
    for (std::size_t e = 0; e < open.size(); ++e) open[e] = !network.elements[e].closed;
    std::fill(open.begin() + network.first_valve, open.begin() + network.first_head, char{0});
    for (const solver::Index valve : valves) open[at(network.first_valve + valve)] = 1;
    return open;
}

Textbook::Textbook(const model::System& system, const solver::Network& network)
    : network_(network), laws_(system, network) {
    loss_.resize(laws_.size());
    slope_.resize(laws_.size());
    height_.assign(network.node_elevation.size() + 1, 0.0);
    right_.resize(height_.size());
    find_pattern();
    const Stopwatch stopwatch;
    solver_.analyzePattern(matrix_);
    eigen_time_ += stopwatch.passed();
}

void Textbook::find_pattern() {
    const std::size_t nodes = network_.node_elevation.size();
    std::vector<int> start{0}, rows, beside(laws_.size(), -1);
    start.reserve(nodes + 1);
    rows.reserve(nodes + laws_.size());
    diagonal_.reserve(nodes);
    std::vector<std::pair<int, int>> below;  // node, element
    for (std::size_t node = 0; node < nodes; ++node) {
        below.clear();
        for (int l = network_.link_start[node]; l < network_.link_start[node + 1]; ++l) {
            const int e = network_.links[at(l)];
            const Element& element = network_.elements[at(e)];
            const int other = element.tail == static_cast<int>(node) ? element.head : element.tail;
            if (other > static_cast<int>(node)) below.emplace_back(other, e);
        }
        std::sort(below.begin(), below.end());
        diagonal_.push_back(static_cast<int>(rows.size()));
        rows.push_back(static_cast<int>(node));
        for (const auto& [other, e] : below) {
            if (rows.back() != other) rows.push_back(other);
            beside[at(e)] = static_cast<int>(rows.size()) - 1;
        }
        start.push_back(static_cast<int>(rows.size()));
    }
    const auto n = static_cast<Eigen::Index>(nodes);
    matrix_.resize(n, n);
    matrix_.resizeNonZeros(static_cast<Eigen::Index>(rows.size()) + 1);  // and one that nobody reads
    std::copy(start.begin(), start.end(), matrix_.outerIndexPtr());
    std::copy(rows.begin(), rows.end(), matrix_.innerIndexPtr());
    find_links(beside, static_cast<int>(rows.size()));
}

void Textbook::find_links(const std::vector<int>& beside, int unread) {
    const int outside = static_cast<int>(diagonal_.size());
    links_.reserve(laws_.size());
    for (std::size_t e = 0; e < laws_.size(); ++e) {
        const Element& element = network_.elements[e];
        Link link{outside, outside, unread, unread, beside[e] < 0 ? unread : beside[e], 0};
        if (element.tail != solver::fixed) {
            link.tail = element.tail;
            link.tail_diagonal = diagonal_[at(element.tail)];
        } else {
            link.lift += element.fixed_height;
        }
        if (element.head != solver::fixed) {
            link.head = element.head;
            link.head_diagonal = diagonal_[at(element.head)];
        } else {
            link.lift -= element.fixed_height;
        }
        links_.push_back(link);
    }
}

bool Textbook::solve(const std::vector<char>& open) {
    reach_ = find_reach(network_, open);
    flow_ = nominal_flows(network_, reach_);
    return iterate();
}

bool Textbook::solve_again(const std::vector<char>& open) {
    reach_ = find_reach(network_, open);
    for (std::size_t e = 0; e < flow_.size(); ++e) {
        if (!reach_.active[e]) flow_[e] = 0;
    }
    return iterate();
}

// Nodes that no water reaches stand at their elevation.
void Textbook::assemble() {
    double* values = matrix_.valuePtr();
    std::fill(values, values + matrix_.nonZeros() + 1, 0.0);
    std::fill(right_.begin(), right_.end(), 0.0);
    for (std::size_t e = 0; e < flow_.size(); ++e) {
        if (!reach_.active[e]) continue;
        const Link& link = links_[e];
        const double g = 1 / slope_[e];
        const double passing = flow_[e] + g * (link.lift - loss_[e]);  // while both ends are at height 0
        values[link.tail_diagonal] += g;
        values[link.head_diagonal] += g;
        values[link.beside] -= g;
        right_[at(link.tail)] -= passing;
        right_[at(link.head)] += passing;
    }
    for (std::size_t node = 0; node < diagonal_.size(); ++node) {
        if (reach_.reached[node]) continue;
        values[diagonal_[node]] = 1;
        right_[node] = network_.node_elevation[node];
    }
}

bool Textbook::iterate() {
    laws_.evaluate(flow_.data(), loss_.data(), slope_.data());
    for (steps_ = 1; steps_ <= most_steps; ++steps_) {
        assemble();
        const Stopwatch stopwatch;
        solver_.factorize(matrix_);
        solution_ = solver_.solve(
            Eigen::Map<const Eigen::VectorXd>(right_.data(), static_cast<Eigen::Index>(diagonal_.size())));
        eigen_time_ += stopwatch.passed();
        if (solver_.info() != Eigen::Success) return false;
        std::copy(solution_.begin(), solution_.end(), height_.begin());
        for (std::size_t e = 0; e < flow_.size(); ++e) {
            if (reach_.active[e]) flow_[e] += (taken(links_[e]) - loss_[e]) / slope_[e];
        }
        laws_.evaluate(flow_.data(), loss_.data(), slope_.data());
        double mismatch = 0;
        for (std::size_t e = 0; e < flow_.size(); ++e) {
            if (reach_.active[e]) mismatch = std::max(mismatch, std::abs(taken(links_[e]) - loss_[e]));
        }
        if (mismatch <= wanted_mismatch) return true;
    }
    return false;
}

std::vector<double> Textbook::head_pressures() const {
    return nozzle_pressures(network_, reach_.active, height_, flow_);
}

}  // namespace evenhead::bench
