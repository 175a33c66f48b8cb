// The mismatch computed again, from flows, heights and laws only: nothing here knows how they were found.
#include <algorithm>
#include <array>
#include <cmath>

#include "model/position.hpp"
#include "solver/balance/balance.hpp"
#include "solver/laws/power_losses.hpp"

namespace evenhead::solver {
namespace {

constexpr double gpm = 231 * 0.0254 * 0.0254 * 0.0254 / 60;  // m3/s
constexpr double most_imbalance_share = 1e-9, most_imbalance = 1e-9 * gpm;

// How far (q, D) is from the curve: the smaller of the change of height and the change of flow (as height, by
// the law's slope) that would put it there.
double distance(const Law& law, double q, double D) {
    const double inside = std::clamp(q, law.low(), law.high());
    const LossRange range = law.losses(inside);
    const double off = std::max({0.0, range.low - D, D - range.high});
    const double outside = std::abs(q - inside);
    if (outside == 0 && off == 0) return 0;
    // The ends of a domain are upright: what lies beyond is no flow of this law, but for what the balance may
    // miss by.
    if (outside > most_imbalance) return infinity;
    const double on_curve = law.flow(D, inside);
    // The steeper of the two: at rest the slope is nothing, and any height would pass for a small change of
    // flow.
    const double slope = std::max(law.slope(inside), law.slope(on_curve));
    const double along = std::abs(q - on_curve) * slope;
    return std::isfinite(along) ? std::min(off, along) : off;
}

// The regulator's three states: open, holding, shut; the one that fits best counts.
double regulator_distance(const Element& element, double q, double inlet, double outlet) {
    const double held = element.held_height;
    if (q < 0) return infinity;
    const double lost = element.law->loss(q);
    const double open = std::max(distance(*element.law, q, inlet - outlet), outlet - held);
    const double holding = std::max(std::abs(outlet - held), held - (inlet - lost));
    const double shut = q > 0 ? infinity : std::min(inlet - element.law->losses(0).high, held) - outlet;
    return std::max(0.0, std::min({open, holding, shut}));
}

/// The worst mismatch so far, and where.
class Worst {
  public:
    void note(double height, const ElementRef& ref) {
        if (height <= height_) return;
        height_ = std::isnan(height) ? infinity : height;
        ref_ = ref;
    }
    void write(Closure& closure, double metres_per_pascal) const {
        closure.pressure = height_ / metres_per_pascal;
        if (ref_.index == model::none) return;
        static constexpr const char* words[] = {"point", "pipe", "device", "valve", "head", "supply", "run"};
        closure.worst_element = words[static_cast<std::size_t>(ref_.kind)];
        closure.worst_index = ref_.index;
    }

  private:
    double height_ = 0;
    ElementRef ref_;
};

class Checker {
  public:
    Checker(const Network& network, const State& state) : net_(network), state_(state) {}

    Closure check() {
        for (const int e : state_.elements) check_element(e);
        check_waiting();
        Closure closure;
        const bool balanced = check_nodes(closure);
        worst_.write(closure, net_.metres_per_pascal);
        closure.solved = balanced && closure.pressure <= mismatch_limit;
        return closure;
    }

  private:
    double inlet(const Element& element) const {
        return element.tail == fixed ? element.fixed_height : state_.height[at(element.tail)];
    }
    double outlet(const Element& element) const {
        return element.head == fixed ? element.fixed_height : state_.height[at(element.head)];
    }

    void check_element(int e) {
        const Element& element = net_.elements[at(e)];
        const double q = state_.flow[at(e)];
        if (!state_.active[at(e)]) {
            if (q != 0) worst_.note(infinity, element.ref);
        } else if (element.regulates()) {
            worst_.note(regulator_distance(element, q, inlet(element), outlet(element)), element.ref);
        } else if (std::isnan(net_.power_r[at(e)]) || (element.one_way && !(q > 0))) {
            check_single(element, q);
        } else {
            waiting_[count_] = e;
            r_[count_] = net_.power_r[at(e)];
            m_[count_] = net_.power_m[at(e)];
            q_[count_] = q;
            D_[count_] = inlet(element) - outlet(element);
            if (++count_ == many) check_waiting();
        }
    }

    // Where the heights are as good as the law's, how far the flow lies off does not matter.
    void check_single(const Element& element, double q) {
        const double D = inlet(element) - outlet(element);
        if (q > 0 && q < element.law->high()) {
            const double off = std::abs(element.law->loss(q) - D);
            if (off <= near) return worst_.note(off, element.ref);
        }
        worst_.note(distance(*element.law, q, D), element.ref);
    }

    // Power laws, many at once.
    void check_waiting() {
        power_losses(count_, r_.data(), m_.data(), q_.data(), loss_.data());
        for (std::size_t i = 0; i < count_; ++i) {
            const double off = std::abs(loss_[i] - D_[i]);
            const Element& element = net_.elements[at(waiting_[i])];
            worst_.note(off <= near ? off : distance(*element.law, q_[i], D_[i]), element.ref);
        }
        count_ = 0;
    }

    // What flows into each node and does not leave it again.
    bool check_nodes(Closure& closure) const {
        bool balanced = true;
        double worst_excess = -1;
        for (const int node : state_.nodes) {
            double imbalance = 0, largest = 0;
            for (int l = net_.link_start[at(node)]; l < net_.link_start[at(node) + 1]; ++l) {
                const int e = net_.links[at(l)];
                const double q = state_.flow[at(e)];
                if (net_.elements[at(e)].head == node) imbalance += q;
                if (net_.elements[at(e)].tail == node) imbalance -= q;
                largest = std::max(largest, std::abs(q));
            }
            const double amount = std::abs(imbalance);
            const double allowed = most_imbalance_share * largest + most_imbalance;
            if (!(amount <= allowed)) balanced = false;
            closure.flow = std::max(closure.flow, amount);
            if (amount > worst_excess * allowed) {
                worst_excess = amount / allowed;
                closure.worst_point = net_.point_of_node[at(node)];
            }
        }
        return balanced;
    }

    static constexpr std::size_t many = 256;
    static constexpr double near = 1e-9;  // m
    const Network& net_;
    const State& state_;
    Worst worst_;
    std::size_t count_ = 0;
    std::array<int, many> waiting_{};
    std::array<double, many> r_{}, m_{}, q_{}, D_{}, loss_{};
};

}  // namespace

Closure check_closure(const Network& network, const State& state) {
    return Checker(network, state).check();
}

}  // namespace evenhead::solver
