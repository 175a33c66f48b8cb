// Newton-Raphson on flows and heights together (Todini & Pilati 1988), each chain linearised on a chord of
// its curve.
//
// Every chain c from point i to point j has a never-falling law: d(q) = D, D = H_i - H_j; q(D) is its
// inverse. The balance is the minimum over the heights of the co-content F(H) = sum_c Phi*_c(D_c), Phi*(D)
// the area beside the curve, convex, with dF/dH_i = the net outflow of the flows q_c(D_c) at i.
//
// One step. Each chain has the point P1 = (q(D), D) that belongs to the present heights, and a predicted flow
// q' from the step before with its point P2 = (q', d(q')) (q' cut to the law's domain). The chord through
// both, of slope s = (D - d(q')) / (q(D) - q') > 0, replaces the curve; where they fall together it is the
// tangent. Balance of the chord's flows q(D) + dD / s at every point is one linear system with conductances
// 1/s:
//     sum_c (dH_i - dH_j) / s_c = -dF/dH_i.
// Its matrix is symmetric positive definite for any slopes, so dH always leads down on F; the exact
// derivative of F along the step, sum_c q_c(D_c + t dD_c) dD_c, which rises in t, tells how far to go. Near
// the solution both points fall together and the step is Newton's; far away the chord sees both branches of a
// kink (a valve that shuts, a head that starts to run), where a tangent would see one. A chord flatter than
// the level slope l (what loses next to nothing) is turned about P2 until s = l, and q(D) in the system is
// the flow that it has at D: with the curve's own, dH would be l / s times too long. Where only little of the
// step could be taken, the few chains that are in its way are solved with their curves: see bends.cpp.
//
// Each component (components.hpp) has its own step length.
//
// Feeds. A regulator that holds draws at its inlet what its outlet feeds: a chain whose curve ends at that
// flow. While the chain is there, its flow in the linear system is the flow y_f of the fed chain after the
// step,
//     y = y0 + C y,    C = what a unit drawn at one inlet changes at the outlets,
// which ends after as many substitutions as feeds follow one another; where feeds lead back to themselves the
// small system is solved. The step then leads down on F with the curves ended at y.
//
// The flows printed are the chord's, which balance exactly, after the imbalance left by rounding has been
// carried along a tree of the chains of least slope to the fixed heights.
#include "solver/balance/newton/newton.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "solver/balance/newton/bends.hpp"
#include "solver/balance/newton/components.hpp"
#include "solver/balance/newton/elimination.hpp"
#include "solver/balance/newton/feeds.hpp"
#include "solver/balance/newton/flows.hpp"
#include "solver/balance/newton/iterate.hpp"

namespace evenhead::solver {
namespace {

constexpr double tight = 1e-9;   // m: mismatch to stop at
constexpr double coarse = 1e-3;  // m: likewise for Precision::coarse
constexpr double short_step = 0.5, long_step = 0.7;
constexpr int most_rounds = 4;  // of taking in bends
constexpr int most_solves = 200, most_hasty_solves = 7, most_polished = 2, most_shortened = 6, most_more = 12;
constexpr int long_way = 20;  // solves: where the level slope is too steep for the flows, they will not do

class Iteration {
  public:
    Iteration(Reduction& reduction, double total_flow, double level_slope)
        : red_(reduction),
          total_flow_(total_flow),
          it_(reduction, total_flow, level_slope),
          components_(find_components(reduction)),
          conductance_(components_.pairs.size()),
          to_fixed_(it_.points()),
          fed_(reduction.feeds.size(), 0.0) {}

    NewtonResult run(const NewtonStart* start, Precision precision) {
        Elimination elimination(static_cast<int>(it_.points()), components_.pairs);
        if (start) {
            it_.height = start->height;
            it_.flow = it_.at_flow = it_.last_flow = start->flow;
        } else {
            start_at_first_flows(elimination);
        }
        out_.steps.push_back({});
        settle_alone();
        if (it_.points() == 0 && red_.feeds.empty()) {
            out_.converged = true;
        } else {
            fed_ = fed_flows(it_);
            end_draws(red_, fed_);
            iterate(elimination, precision);
            close(elimination, precision);
        }
        write();
        return std::move(out_);
    }

  private:
    // Tangents at the first flows; a chain across the tree as the straight line to a share of what passes its
    // ends.
    void start_at_first_flows(Elimination& elimination) {
        const FirstFlows first = first_flows(red_);
        for (const ChainFeed& feed : red_.feeds) {
            if (feed.drawing < 0) continue;
            red_.laws[at(feed.drawing)].limit(feed.drawing_reversed,
                                              std::abs(red_.chains[at(feed.drawing)].nominal));
        }
        for (std::size_t c = 0; c < it_.chains(); ++c) {
            const Series& law = red_.laws[c];
            if (it_.alone(c)) continue;
            if (first.given[c]) {
                const double q = std::clamp(first.flow[c], law.low(), law.high());
                const bool small = std::abs(q) < it_.small_flow && law.high() > it_.small_flow;
                double slope = law.slope(small ? it_.small_flow : q);
                if (slope <= 2 * it_.level_slope && q >= law.high()) slope = infinity;  // a constant draw
                it_.at_flow[c] = q;
                it_.at_height[c] = law.loss(q);
                it_.slope[c] = it_.bounded(slope);
            } else {
                double across = it_.small_flow;
                for (const int end : {red_.chains[c].from, red_.chains[c].to}) {
                    if (end != fixed) across = std::max(across, 0.3 * first.passing[at(end)]);
                }
                const bool backward = law.high() <= 0;
                const double q = backward ? std::max(-across, law.low()) : std::min(across, law.high());
                it_.at_flow[c] = 0;
                it_.at_height[c] = law.loss(0);
                it_.slope[c] = it_.bounded(q == 0 ? infinity : (law.loss(q) - law.loss(0)) / q);
            }
        }
        if (it_.points() == 0) return;
        solve_linear(elimination);
        it_.height = it_.change;
        for (std::size_t c = 0; c < it_.chains(); ++c) {
            if (it_.alone(c)) continue;
            it_.flow[c] = it_.at_flow[c] + (it_.height_along(c) - it_.at_height[c]) / it_.slope[c];
        }
    }

    void settle_alone() {
        for (std::size_t c = 0; c < it_.chains(); ++c) {
            if (!it_.alone(c)) continue;
            it_.at_height[c] = it_.height_along(c);
            double q = red_.laws[c].flow(it_.at_height[c], red_.chains[c].nominal);
            if (!std::isfinite(q)) q = it_.at_height[c] / it_.level_slope;  // nothing is lost on the way
            it_.flow[c] = it_.at_flow[c] = q;
        }
    }

    // Solves for the change of heights with the chords q = q(D) + (D' - D) / s, D' by the present heights.
    void solve_linear(Elimination& elimination) {
        std::fill(to_fixed_.begin(), to_fixed_.end(), 0.0);
        std::fill(it_.change.begin(), it_.change.end(), 0.0);
        std::size_t pair = 0;
        for (std::size_t c = 0; c < it_.chains(); ++c) {
            if (it_.alone(c)) continue;
            const Chain& chain = red_.chains[c];
            const double g = 1 / it_.slope[c];
            const double q = it_.at_flow[c] + (it_.height_along(c) - it_.at_height[c]) * g;
            if (chain.from != fixed) it_.change[at(chain.from)] -= q;
            if (chain.to != fixed) it_.change[at(chain.to)] += q;
            if (chain.from != fixed && chain.to != fixed) {
                conductance_[pair++] = g;
            } else {
                to_fixed_[at(chain.from == fixed ? chain.to : chain.from)] += g;
            }
        }
        elimination.factorise(conductance_, to_fixed_);
        elimination.solve(it_.change);
        ++out_.solves;
    }

    void iterate(Elimination& elimination, Precision precision) {
        double best = infinity;
        int since_best = 0, polished = 0, shortened = 0;
        std::optional<Iterate> settled;
        std::vector<double> settled_feeds;
        for (;;) {
            const Mismatch worst = place_chords(it_);
            out_.steps.back().mismatch = out_.mismatch = worst.height;
            out_.steps.back().chain = worst.chain;
            since_best = worst.height < 0.5 * best ? 0 : since_best + 1;
            best = std::min(best, worst.height);
            if (out_.solves > 0) {  // flows to start from need not balance: those of a step do
                const double rounding = 1e-13 * it_.largest_height;
                if (precision != Precision::full) {
                    const int most = precision == Precision::hasty ? most_hasty_solves : most_solves;
                    out_.converged = worst.height <= coarse;
                    if (out_.converged || out_.solves >= most) return;
                } else {
                    // Where bends were solved apart, one more step tells whether all is well.
                    out_.converged = (worst.height <= tight + rounding && !bent_) ||
                                     (worst.height <= enough && since_best > 2);
                    // Steps beyond, while they gain, settle flows that heights hardly tell. One that spoils
                    // the balance is taken back.
                    if (settled && !out_.converged) {
                        out_.converged = true;
                        it_.take(*settled);
                        fed_ = settled_feeds;
                        end_draws(red_, fed_);
                        return;
                    }
                    if (out_.converged) {
                        // After a short step flows are still on their way.
                        const bool arrived = out_.steps.back().length == 1 || ++shortened > most_shortened;
                        if (worst.height <= rounding || (arrived && ++polished > most_polished)) return;
                        settled.emplace(it_);
                        settled_feeds = fed_;
                    }
                    if (out_.solves >= most_solves) return;
                }
                if (out_.solves == long_way && !out_.converged &&
                    largest_flow(it_.flow) > outgrown * total_flow_)
                    return;
            }
            step(elimination);
        }
    }

    void step(Elimination& elimination) {
        const std::vector<double> placed = it_.at_flow, fed = fed_;
        solve_step(elimination);
        Bends bends(it_, elimination);
        for (int round = 0; round < most_rounds; ++round) {
            const std::vector<int> chains = chains_of_short_steps(long_step);
            if (chains.empty() || !bends.take_in(chains)) break;
            find_lengths();
        }
        bent_ = bends.any();
        if (bends.lost_digits()) {
            it_.at_flow = placed;
            fed_ = fed;
            end_draws(red_, fed_);
            solve_step(elimination);
        }
        // What stays at the end of its domain may be what is in the way.
        for (const int c : chains_of_short_steps(short_step)) it_.kept[at(c)] = 0;
        for (std::size_t i = 0; i < it_.points(); ++i)
            it_.height[i] += length_[at(components_.of_point[i])] * it_.change[i];
        const auto shortest = std::min_element(length_.begin(), length_.end());
        out_.steps.push_back({0, -1, shortest == length_.end() ? 1.0 : *shortest});
    }

    void solve_step(Elimination& elimination) {
        solve_linear(elimination);
        follow_feeds(it_, elimination);
        find_lengths();
    }

    // Flows after the whole step, and how much of it every component takes.
    void find_lengths() {
        for (std::size_t c = 0; c < it_.chains(); ++c) it_.flow[c] = it_.predicted(c);
        fed_ = fed_flows(it_);
        end_draws(red_, fed_);
        length_.clear();
        for (const std::vector<int>& chains : components_.chains) length_.push_back(step_length(it_, chains));
    }

    std::vector<int> chains_of_short_steps(double most) const {
        std::vector<int> all;
        for (std::size_t i = 0; i < components_.chains.size(); ++i) {
            if (length_[i] < most)
                all.insert(all.end(), components_.chains[i].begin(), components_.chains[i].end());
        }
        return all;
    }

    // Closed flows may lie further off than the chords': what strays out of its domain by next to nothing
    // runs through chains where that is much.
    void close(Elimination& elimination, Precision precision) {
        const bool held = out_.converged && precision == Precision::full;
        for (int more = 0; held && more < most_more; ++more) {
            const Iterate open(it_);
            close_flows(it_);
            if (flows_close(it_)) return;
            it_.take(open);
            place_chords(it_);  // again: by the step's flows, however near those before lie
            step(elimination);
            place_chords(it_);
        }
        close_flows(it_);
    }

    void write() {
        out_.flow = it_.flow;
        out_.height = it_.height;
        const std::vector<double> fed = fed_flows(it_);
        for (std::size_t f = 0; f < fed.size(); ++f) {
            out_.feeds.push_back({fed[f], std::max(0.0, it_.without_rounding(fed_[f]))});
        }
    }

    Reduction& red_;
    const double total_flow_;
    Iterate it_;
    NewtonResult out_;
    const Components components_;
    std::vector<double> conductance_, to_fixed_;  // by pair, by point
    std::vector<double> length_;                  // of the step, by component
    bool bent_ = false;                           // the last step had bends
    std::vector<double> fed_;  // by feed: what it gave after the last step, where drawing curves end
};

}  // namespace

NewtonResult solve_chains(Reduction& reduction, double total_flow, double level_slope, Precision precision,
                          const NewtonStart* start) {
    return Iteration(reduction, total_flow, level_slope).run(start, precision);
}

}  // namespace evenhead::solver
