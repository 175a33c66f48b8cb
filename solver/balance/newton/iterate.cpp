#include "solver/balance/newton/iterate.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace evenhead::solver {
namespace {

constexpr double edge = 1e-7;  // m: this near to a kink both of its branches are open
constexpr double dying =
    0.2;  // a flow that falls to this share in a step, towards an upright part, ends there
constexpr double fading = 0.7;  // likewise where it falls to this share in so many steps after one another
constexpr int most_fading = 4;
constexpr double last_digits = 1e-15;  // of the largest height: the rounding of a difference of heights
constexpr double stray = 1e-6;  // of the small flow: how far out of its domain a flow is as good as inside
constexpr double same = 1e-13;  // share of a flow that counts as the same

// Inside an upright part, and not just at the edge where another branch begins.
bool stands_upright(const Series& law, double q, double D) {
    const LossRange range = law.losses(q);
    return range.low + edge < D && D < range.high - edge;
}

// Where the step left the domain, or did and the chain stands there still: the end of the domain, if the
// height is one of its own. It stays there then, for the next step would leave again.
std::optional<double> end_to_stay_at(const Iterate& it, std::size_t c, double D) {
    const Series& law = it.reduction.laws[c];
    const double q = it.flow[c];
    const bool below = q < law.low() || it.kept[c] < 0;
    const bool above = q > law.high() || it.kept[c] > 0;
    if (!below && !above) return std::nullopt;
    const double end = below ? law.low() : law.high();
    if (off_curve(law, end, D) > blur) return std::nullopt;
    return end;
}

// Towards the upright part that it stands on its flow falls fast, or again and again: it will end there.
bool fades(Iterate& it, std::size_t c, double on_curve, double apart) {
    const double last = std::abs(it.last_flow[c] - on_curve);
    it.faded[c] = apart < fading * last ? it.faded[c] + 1 : 0;
    return apart < dying * last || it.faded[c] >= most_fading;
}

double tangent(const Iterate& it, std::size_t c, double on_curve, double D) {
    const Series& law = it.reduction.laws[c];
    if (stands_upright(law, on_curve, D)) return infinity;
    const bool small = std::abs(on_curve) < it.small_flow;
    return law.slope(small ? std::clamp(it.small_flow, law.low(), law.high()) : on_curve);
}

}  // namespace

Iterate::Iterate(const Reduction& of, double total_flow, double level)
    : reduction(of),
      small_flow(1e-6 * total_flow),
      level_slope(level),
      height(of.branch_node.size(), 0.0),
      change(of.branch_node.size(), 0.0),
      flow(of.chains.size(), 0.0),
      last_flow(flow),
      at_flow(flow),
      at_height(flow),
      slope(of.chains.size(), 1 / leak),
      kept(of.chains.size(), 0),
      faded(of.chains.size(), 0) {}

void Iterate::take(const Iterate& other) {
    height = other.height;
    flow = other.flow;
    at_flow = other.at_flow;
    at_height = other.at_height;
    slope = other.slope;
}

double Iterate::height_along(std::size_t c) const {
    const Chain& chain = reduction.chains[c];
    return (chain.from == fixed ? chain.from_height : height[at(chain.from)]) -
           (chain.to == fixed ? chain.to_height : height[at(chain.to)]);
}

double Iterate::change_along(std::size_t c, const std::vector<double>& of_heights) const {
    const Chain& chain = reduction.chains[c];
    return (chain.from == fixed ? 0.0 : of_heights[at(chain.from)]) -
           (chain.to == fixed ? 0.0 : of_heights[at(chain.to)]);
}

double Iterate::bounded(double s) const {
    return std::clamp(s, level_slope, 1 / leak);
}

double Iterate::without_rounding(double q) const {
    return std::abs(q) < std::max(1e-9 * small_flow, trickle) ? 0.0 : q;
}

double off_curve(const Series& law, double q, double D) {
    const LossRange d = law.losses(q);
    return D < d.low ? d.low - D : std::max(0.0, D - d.high);
}

Mismatch place_chords(Iterate& it) {
    Mismatch worst;
    it.largest_height = 0;
    double largest = 0;  // of the heights themselves
    for (const double height : it.height) largest = std::max(largest, std::abs(height));
    for (std::size_t c = 0; c < it.chains(); ++c) {
        const Series& law = it.reduction.laws[c];
        const double D = it.height_along(c);
        it.largest_height = std::max(it.largest_height, std::abs(D));
        const double q = std::clamp(it.flow[c], law.low(), law.high());
        const std::optional<double> end = end_to_stay_at(it, c, D);
        const double off = off_curve(law, q, D);
        // Where heights do not tell the flow from the step's, which balances, that one stands.
        const double on_curve = end ? *end : off <= last_digits * largest ? q : law.flow(D, q);
        const double outside = std::abs(it.flow[c] - q);  // left the domain: by as much flow

        // The second point: by the flow after the last step, or before it where that lies nearer and apart.
        const double before = std::clamp(it.at_flow[c], law.low(), law.high());
        const double moved = std::abs(before - on_curve);
        const bool by_last = moved <= 1e-7 * std::abs(on_curve) || std::abs(q - on_curve) <= moved;
        const double second = by_last ? q : before;
        const double apart = std::abs(on_curve - second);
        double slope;
        // NOLINTNEXTLINE(bugprone-branch-clone): the cases stand in the order in which they are told apart
        if (end) {
            slope = infinity;
        } else if (apart <= 1e-7 * std::max(std::abs(on_curve), std::abs(second))) {
            slope = tangent(it, c, on_curve, D);
        } else if (by_last && stands_upright(law, on_curve, D) && fades(it, c, on_curve, apart)) {
            slope = infinity;
        } else {
            slope = off_curve(law, second, D) / apart;
        }
        it.kept[c] = !end ? 0 : *end == law.low() ? -1 : 1;
        it.last_flow[c] = it.flow[c];
        it.slope[c] = it.bounded(slope);
        // A chord flatter than the level slope is raised about its second point.
        it.at_flow[c] = slope < it.slope[c] ? second + (on_curve - second) * (slope / it.slope[c]) : on_curve;
        it.at_height[c] = D;

        const double by_flow = outside + std::abs(on_curve - q);
        const double along = by_flow <= same * std::abs(q) ? 0.0 : it.without_rounding(by_flow) * it.slope[c];
        const double miss =
            outside > stray * it.small_flow ? std::max(off, 10 * enough) : std::min(off, along);
        if (miss > worst.height || worst.chain < 0) worst = {miss, static_cast<int>(c)};
    }
    return worst;
}

}  // namespace evenhead::solver
