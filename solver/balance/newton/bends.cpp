// A chain that stands shut has a chord that lets nothing through. Where the step raises the height over it
// past the bend of its curve, it would open wide, and the step can be taken only up to there. Large systems
// have many such chains, and step after step would end at the next of them.
//
// Seen from a few chains, all others are straight lines in the linear system A of the step: one more unit of
// flow along chain j takes R_cj from the height over chain c,
//     R = E^T A^-1 E,
// column c of E with 1 at the point where the chain begins and -1 where it ends. With y the heights over the
// chains after the step, q' their chords' flows and g the conductances of their chords, the flows e beyond
// the chords that put every one of them on its curve are those of
//     D_c = y_c - sum_j R_cj e_j,   q_c(D_c) = q'_c + g_c (D_c - y_c) + e_c.
// One chain after the other is solved for its own e_c: its rising curve against the falling line
//     D = D_c - r (q - q_c),  r = R_cc / (1 - R_cc g_c),
// in rounds. Each round lowers the co-content of the step, in which these chains have their curves and all
// others their chords, so the step still leads down. The chain's new chord leads through the point found.
#include "solver/balance/newton/bends.hpp"

#include <algorithm>
#include <cmath>

namespace evenhead::solver {
namespace {

constexpr std::size_t most_at_once = 100, most_bends = 200;
constexpr double share_in_the_way = 0.01;  // of the first derivative of the co-content along the step
constexpr double least_left = 1e-12;       // 1 - R g: below, nothing but its chord ties a chain to the others
constexpr int most_rounds = 20;
constexpr double still_moving = 1e-6;  // share of a flow
constexpr double far_beyond = 1e5;     // times the largest height: what a step may not use of the digits

// A law with a straight loss in series.
class Behind final : public Law {
  public:
    Behind(const Law& law, double resistance) : law_(law), resistance_(resistance) {
        low_ = law.low();
        high_ = law.high();
    }
    double loss(double q) const override { return law_.loss(q) + resistance_ * q; }
    double slope(double q) const override { return law_.slope(q) + resistance_; }
    LossRange losses(double q) const override {
        const LossRange of = law_.losses(q);
        return {of.low + resistance_ * q, of.high + resistance_ * q};
    }

  private:
    const Law& law_;
    double resistance_;
};

}  // namespace

bool Bends::take_in(const std::vector<int>& chains) {
    const std::vector<Bend> more = in_the_way(chains);
    if (more.empty()) return false;
    bends_.insert(bends_.end(), more.begin(), more.end());
    find_effects();
    solve();
    change_step();
    return true;
}

// Those that miss most first, as many as may be.
std::vector<Bends::Bend> Bends::in_the_way(const std::vector<int>& chains) const {
    std::vector<char> taken(it_.chains(), 0);
    for (const Bend& bend : bends_) taken[at(bend.chain)] = 1;
    std::vector<Bend> found;
    double start = 0;
    for (const int chain : chains) {
        const std::size_t c = at(chain);
        const double dD = it_.change_along(c);
        start += it_.at_flow[c] * dD;
        if (dD == 0 || taken[c]) continue;
        const double D = it_.at_height[c] + dD, q = it_.flow[c];
        const double missed = (it_.reduction.laws[c].flow(D, q) - q) * dD;
        if (missed > 0) found.push_back({chain, 1 / it_.slope[c], D, q, 0, 0, missed});
    }
    std::erase_if(found, [&](const Bend& bend) { return bend.missed < -share_in_the_way * start; });
    const std::size_t count = std::min({found.size(), most_at_once, most_bends - bends_.size()});
    std::partial_sort(found.begin(), found.begin() + static_cast<std::ptrdiff_t>(count), found.end(),
                      [](const Bend& a, const Bend& b) { return a.missed > b.missed; });
    found.resize(count);
    return found;
}

// Effects and R of the bends that have none yet.
void Bends::find_effects() {
    for (std::size_t j = effect_.size(); j < bends_.size(); ++j) {
        std::vector<double> effect(it_.points(), 0.0);
        const Chain& chain = it_.reduction.chains[at(bends_[j].chain)];
        if (chain.from != fixed) effect[at(chain.from)] -= 1;
        if (chain.to != fixed) effect[at(chain.to)] += 1;
        elimination_.solve(effect);
        effect_.push_back(std::move(effect));
    }
    R_.resize(bends_.size());
    for (std::size_t c = 0; c < bends_.size(); ++c) {
        for (std::size_t j = R_[c].size(); j < bends_.size(); ++j)
            R_[c].push_back(-it_.change_along(at(bends_[c].chain), effect_[j]));
    }
}

void Bends::solve() {
    for (int round = 0; round < most_rounds; ++round) {
        double moved = 0;
        for (std::size_t c = 0; c < bends_.size(); ++c) moved = std::max(moved, solve_one(c));
        if (moved < still_moving) return;
    }
}

// The share by which its flow moves.
double Bends::solve_one(std::size_t c) {
    Bend& bend = bends_[c];
    const double left = 1 - R_[c][c] * bend.g;
    if (!(left > least_left)) return 0;
    const double r = R_[c][c] / left;
    const double at_rest = bend.D + r * bend.q;  // D where nothing flows along it
    const double q = Behind(it_.reduction.laws[at(bend.chain)], r).flow(at_rest, bend.q);
    const double D = at_rest - r * q;
    const double more = (q - bend.q) - bend.g * (D - bend.D);
    if (!std::isfinite(more)) return 0;
    const double share = std::abs(q - bend.q) / (std::abs(q) + 1e-6 * it_.small_flow);
    for (std::size_t i = 0; i < bends_.size(); ++i) {
        const double dD = -R_[i][c] * more;
        bends_[i].D += dD;
        bends_[i].q += bends_[i].g * dD;
    }
    bend.q = q;
    bend.extra += more;
    return share;
}

void Bends::change_step() {
    for (std::size_t j = 0; j < bends_.size(); ++j) {
        const double more = bends_[j].extra - bends_[j].written;
        if (more == 0) continue;
        bends_[j].written = bends_[j].extra;
        double largest = 0;
        for (std::size_t i = 0; i < it_.points(); ++i) {
            const double by = effect_[j][i] * more;
            it_.change[i] += by;
            largest = std::max(largest, std::abs(by));
        }
        lost_digits_ = lost_digits_ || largest > far_beyond * it_.largest_height;
    }
    for (const Bend& bend : bends_) {
        const std::size_t c = at(bend.chain);
        const double flow = bend.q - it_.at_flow[c], dD = it_.change_along(c);
        if (flow == 0 || flow * dD < 0) continue;  // where it was, or not solved
        it_.slope[c] = it_.bounded(dD / flow);
        it_.kept[c] = 0;
    }
}

}  // namespace evenhead::solver
