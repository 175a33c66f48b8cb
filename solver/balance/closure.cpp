// The mismatch computed again, from flows, heights and laws only: nothing here knows how they were found.
#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/balance/closure.hpp"
#include "solver/laws/loss_batch.hpp"

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
    void note(double height, int element) {
        if (height <= height_) return;
        height_ = std::isnan(height) ? infinity : height;
        element_ = element;
    }
    void write(const Network& network, Closure& closure) const {
        closure.pressure = height_ / network.metres_per_pascal;
        if (element_ < 0) return;
        static constexpr const char* words[] = {"point", "pipe", "device", "valve", "head", "supply", "run"};
        const ElementRef& ref = network.elements[at(element_)].ref;
        closure.worst_element = words[static_cast<std::size_t>(ref.kind)];
        closure.worst_index = ref.index;
    }

  private:
    double height_ = 0;
    int element_ = -1;
};

constexpr double near =
    1e-9;  // m: where heights are as good as a law's, how far the flow lies off does not matter

// Of one element by itself.
double mismatch(const Element& element, double q, double inlet, double outlet) {
    const double D = inlet - outlet;
    if (element.regulates()) return regulator_distance(element, q, inlet, outlet);
    const bool inside = q != 0 && element.law->low() < q && q < element.law->high();
    const double off = inside ? std::abs(element.law->loss(q) - D) : infinity;
    return off <= near ? off : distance(*element.law, q, D);
}

}  // namespace

ClosureCheck::ClosureCheck(const Network& network) : net_(network), passing_(network.node_elevation.size()) {}

inline void ClosureCheck::add_flow(int node, double q) {
    if (node == fixed) return;
    Passing& passing = passing_[at(node)];
    if (passing.largest == 0) flowing_.push_back(node);
    passing.imbalance += q;
    passing.largest = std::max(passing.largest, std::abs(q));
}

// Power laws are taken many at once, square laws and orifices at once.
Closure ClosureCheck::check(const State& state) {
    Worst worst;
    off_in_height_ = 0;
    const auto height = [&](int node, int e) {
        return node == fixed ? net_.elements[at(e)].fixed_height : state.height[at(node)];
    };
    const auto note_loss = [&](int e, double loss) {
        const double D = height(net_.ends[at(e)].tail, e) - height(net_.ends[at(e)].head, e);
        const double off = std::abs(loss - D);
        if (!(off <= off_in_height_)) off_in_height_ = off;
        worst.note(off <= near ? off : distance(*net_.elements[at(e)].law, state.flow[at(e)], D), e);
    };
    LossBatch losses(note_loss);
    for_each(state.elements, [&](int e) {
        const double q = state.flow[at(e)];
        if (!state.active[at(e)]) {
            if (q != 0) worst.note(infinity, e);
            return;
        }
        if (q == 0) {
            // Most of a large system stands still, and a pipe at rest between equal heights is on its law.
            if (net_.plain[at(e)]) {
                const auto [tail, head] = net_.ends[at(e)];
                if (state.height[at(tail)] != state.height[at(head)]) note_loss(e, 0);
                return;
            }
        } else {
            add_flow(net_.ends[at(e)].tail, -q);
            add_flow(net_.ends[at(e)].head, q);
            const double r = net_.power_r[at(e)], m = net_.power_m[at(e)];
            if (!std::isnan(r) && (q > 0 || net_.plain[at(e)]))
                return r == 0 ? note_loss(e, m * std::abs(q) * q) : losses.add(e, r, m, q);
        }
        worst.note(mismatch(net_.elements[at(e)], q, height(net_.ends[at(e)].tail, e),
                            height(net_.ends[at(e)].head, e)),
                   e);
    });
    losses.flush();
    Closure closure;
    const bool balanced = check_nodes(closure);
    worst.write(net_, closure);
    closure.solved = balanced && closure.pressure <= mismatch_limit;
    return closure;
}

// What flows into each node and does not leave it again.
bool ClosureCheck::check_nodes(Closure& closure) {
    bool balanced = true;
    double worst_excess = -1;
    for (const int node : flowing_) {
        const double amount = std::abs(passing_[at(node)].imbalance);
        const double allowed = most_imbalance_share * passing_[at(node)].largest + most_imbalance;
        if (!(amount <= allowed) || !(passing_[at(node)].largest <= most_flow)) balanced = false;
        passing_[at(node)] = {};
        closure.flow = std::max(closure.flow, amount);
        if (amount > worst_excess * allowed) {
            worst_excess = amount / allowed;
            closure.worst_point = net_.point_of_node[at(node)];
        }
    }
    flowing_.clear();
    return balanced;
}

Closure check_closure(const Network& network, const State& state) {
    return ClosureCheck(network).check(state);
}

}  // namespace evenhead::solver
