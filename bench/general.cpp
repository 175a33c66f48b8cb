#include "bench/general.hpp"

#include <algorithm>

#include "bench/textbook.hpp"
#include "model/position.hpp"
#include "tests/agreement/kinsol_workspace.hpp"

namespace evenhead::bench {
namespace {

using solver::Element;

// What a flow (m3/s) and a height (m) are compared with. A flow missing at a node counts like as many metres
// at an element.
constexpr double flow_unit = 6.3e-5, height_unit = 50;
constexpr double least_step = 1e-15, longest_step = 1e9;  // of these units

// Unknowns and equations: reached nodes (height; what enters less what leaves), then active elements (flow;
// law).
class Equations {
  public:
    Equations(const model::System& system, const solver::Network& network, const std::vector<char>& open)
        : network_(network),
          laws_(system, network),
          reach_(find_reach(network, open)),
          full_(laws_.size(), 0.0) {
        loss_ = slope_ = full_;
        unknown_.assign(network.node_elevation.size(), -1);
        for (std::size_t node = 0; node < unknown_.size(); ++node) {
            if (reach_.reached[node]) unknown_[node] = nodes_++;
        }
        for (std::size_t e = 0; e < reach_.active.size(); ++e) {
            if (reach_.active[e]) elements_.push_back(static_cast<int>(e));
        }
        find_pattern();
    }

    std::size_t nodes() const { return at(nodes_); }
    std::size_t size() const { return at(nodes_) + elements_.size(); }
    std::size_t entries() const { return row_.size(); }
    const Reach& reach() const { return reach_; }

    void start(double* x) const {
        double highest = 0;
        for (int e = 0; e < network_.first_pipe; ++e)
            highest = std::max(highest, network_.elements[at(e)].fixed_height);
        std::fill_n(x, nodes(), highest);
        const std::vector<double> flow = nominal_flows(network_, reach_);
        for (std::size_t i = 0; i < elements_.size(); ++i) x[nodes() + i] = flow[at(elements_[i])];
    }

    void residual(const double* x, double* f) {
        evaluate(x);
        std::fill_n(f, nodes(), 0.0);
        for (std::size_t i = 0; i < elements_.size(); ++i) {
            const Element& element = network_.elements[at(elements_[i])];
            const double q = x[nodes() + i];
            if (element.tail != solver::fixed) f[tail(element)] -= q;
            if (element.head != solver::fixed) f[head(element)] += q;
            f[nodes() + i] = (element.tail == solver::fixed ? element.fixed_height : x[tail(element)]) -
                             (element.head == solver::fixed ? element.fixed_height : x[head(element)]) -
                             loss_[at(elements_[i])];
        }
    }

    void pattern(sunindextype* start, sunindextype* row) const {
        std::copy(start_.begin(), start_.end(), start);
        std::copy(row_.begin(), row_.end(), row);
    }
    // Constant but for the slopes.
    void jacobian(const double* x, double* value) {
        evaluate(x);
        std::copy(value_.begin(), value_.end(), value);
        for (std::size_t i = 0; i < elements_.size(); ++i) value[at(own_[i])] = -slope_[at(elements_[i])];
    }

    std::vector<double> head_pressures(const double* x) const {
        std::vector<double> height(unknown_.size(), 0.0), flow(laws_.size(), 0.0);
        for (std::size_t node = 0; node < height.size(); ++node) {
            if (unknown_[node] >= 0) height[node] = x[unknown_[node]];
        }
        for (std::size_t i = 0; i < elements_.size(); ++i) flow[at(elements_[i])] = x[nodes() + i];
        return nozzle_pressures(network_, reach_.active, height, flow);
    }

  private:
    std::size_t tail(const Element& element) const { return at(unknown_[at(element.tail)]); }
    std::size_t head(const Element& element) const { return at(unknown_[at(element.head)]); }

    void evaluate(const double* x) {
        for (std::size_t i = 0; i < elements_.size(); ++i) full_[at(elements_[i])] = x[nodes() + i];
        laws_.evaluate(full_.data(), loss_.data(), slope_.data());
    }

    // Columns: a height enters the laws of the elements at its node, a flow two balances and its own law.
    void find_pattern() {
        std::vector<int> position(laws_.size(), -1);
        for (std::size_t i = 0; i < elements_.size(); ++i) position[at(elements_[i])] = static_cast<int>(i);
        start_.push_back(0);
        const auto add = [&](std::size_t row, double value) {
            row_.push_back(static_cast<sunindextype>(row));
            value_.push_back(value);
        };
        for (std::size_t node = 0; node < unknown_.size(); ++node) {
            if (unknown_[node] < 0) continue;
            for (int l = network_.link_start[node]; l < network_.link_start[node + 1]; ++l) {
                const int e = network_.links[at(l)];
                if (position[at(e)] < 0) continue;
                const bool leaves = network_.elements[at(e)].tail == static_cast<int>(node);
                add(nodes() + at(position[at(e)]), leaves ? 1 : -1);
            }
            start_.push_back(static_cast<sunindextype>(row_.size()));
        }
        for (std::size_t i = 0; i < elements_.size(); ++i) {
            const Element& element = network_.elements[at(elements_[i])];
            if (element.tail != solver::fixed) add(tail(element), -1);
            if (element.head != solver::fixed) add(head(element), 1);
            own_.push_back(static_cast<int>(row_.size()));
            add(nodes() + i, 0);
            start_.push_back(static_cast<sunindextype>(row_.size()));
        }
    }

    const solver::Network& network_;
    FlatLaws laws_;
    Reach reach_;
    std::vector<double> full_, loss_, slope_;  // by element of the network
    std::vector<int> unknown_, elements_, own_;
    int nodes_ = 0;
    std::vector<sunindextype> start_, row_;
    std::vector<double> value_;
};

int residual(N_Vector x, N_Vector f, void* equations) {
    static_cast<Equations*>(equations)->residual(N_VGetArrayPointer(x), N_VGetArrayPointer(f));
    return 0;
}

int jacobian(N_Vector x, N_Vector, SUNMatrix matrix, void* equations, N_Vector, N_Vector) {
    auto* of = static_cast<Equations*>(equations);
    of->pattern(SUNSparseMatrix_IndexPointers(matrix), SUNSparseMatrix_IndexValues(matrix));
    of->jacobian(N_VGetArrayPointer(x), SUNSparseMatrix_Data(matrix));
    return 0;
}

}  // namespace

GeneralAnswer solve_by_general(const model::System& system, const solver::Network& network,
                               const std::vector<char>& open) {
    const Stopwatch stopwatch;
    GeneralAnswer answer;
    Equations equations(system, network, open);
    agreement::KinsolWorkspace workspace(equations.size(), equations.entries(), residual, jacobian,
                                         &equations, {wanted_mismatch, least_step, longest_step});
    std::fill_n(workspace.equation_scale(), equations.size(), 1.0);
    std::fill_n(workspace.equation_scale(), equations.nodes(), 1 / flow_unit);
    std::fill_n(workspace.unknown_scale(), equations.size(), 1 / flow_unit);
    std::fill_n(workspace.unknown_scale(), equations.nodes(), 1 / height_unit);
    equations.start(workspace.x());
    answer.solved = workspace.solve(KIN_LINESEARCH) == KIN_SUCCESS;
    answer.time = stopwatch.passed();
    long steps = 0;
    agreement::check_kinsol(KINGetNumNonlinSolvIters(workspace.memory(), &steps), "count");
    answer.steps = static_cast<int>(steps);
    answer.head_pressure = equations.head_pressures(workspace.x());
    return answer;
}

}  // namespace evenhead::bench
