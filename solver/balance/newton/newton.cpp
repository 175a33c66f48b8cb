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
// kink (a valve that shuts, a head that starts to run), where a tangent would see one.
//
// Components, sets of points that no chain of free ends joins, do not see each other's heights: each has its
// own step length.
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

#include <boost/pending/disjoint_sets.hpp>

#include "solver/balance/newton/elimination.hpp"
#include "solver/balance/newton/feeds.hpp"
#include "solver/balance/newton/flows.hpp"
#include "solver/balance/newton/iterate.hpp"

namespace evenhead::solver {
namespace {

constexpr double tight = 1e-9;   // m: mismatch to stop at
constexpr double coarse = 1e-3;  // m: likewise for Precision::coarse
constexpr double short_step = 0.5;
constexpr int most_solves = 200, most_coarse_solves = 8, most_polished = 2, most_shortened = 6;

class Iteration {
  public:
    Iteration(Reduction& reduction, double total_flow, double level_slope)
        : red_(reduction), it_(reduction, total_flow, level_slope), fed_(reduction.feeds.size(), 0.0) {}

    NewtonResult run(const NewtonStart* start, Precision precision) {
        find_components();
        Elimination elimination(static_cast<int>(it_.points()), pairs_);
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
            close_flows(it_);
        }
        write();
        return std::move(out_);
    }

  private:
    // Points that chains of free ends join.
    void find_components() {
        boost::disjoint_sets_with_storage<> joined(it_.points());
        for (std::size_t c = 0; c < it_.chains(); ++c) {
            const Chain& chain = red_.chains[c];
            if (chain.from == fixed || chain.to == fixed || it_.alone(c)) continue;
            pairs_.emplace_back(chain.from, chain.to);
            joined.union_set(at(chain.from), at(chain.to));
        }
        std::vector<int> number(it_.points(), -1);
        for (std::size_t point = 0; point < it_.points(); ++point) {
            int& of = number[joined.find_set(point)];
            if (of < 0) {
                of = static_cast<int>(chains_of_.size());
                chains_of_.emplace_back();
            }
            component_.push_back(of);
        }
        for (std::size_t c = 0; c < it_.chains(); ++c) {
            const Chain& chain = red_.chains[c];
            if (it_.alone(c)) continue;
            const int point = chain.from == fixed ? chain.to : chain.from;
            chains_of_[at(component_[at(point)])].push_back(static_cast<int>(c));
        }
        conductance_.resize(pairs_.size());
        to_fixed_.resize(it_.points());
    }

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
                if (precision == Precision::coarse) {
                    out_.converged = worst.height <= coarse;
                    if (out_.converged || out_.solves >= most_coarse_solves) return;
                } else {
                    out_.converged =
                        worst.height <= tight + rounding || (worst.height <= enough && since_best > 2);
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
            }
            step(elimination);
        }
    }

    void step(Elimination& elimination) {
        solve_linear(elimination);
        follow_feeds(it_, elimination);
        for (std::size_t c = 0; c < it_.chains(); ++c) it_.flow[c] = it_.predicted(c);
        fed_ = fed_flows(it_);
        end_draws(red_, fed_);
        std::vector<double> length;
        for (const std::vector<int>& chains : chains_of_) {
            length.push_back(step_length(it_, chains));
            // What stays at the end of its domain may be what is in the way.
            if (length.back() < short_step) {
                for (const int c : chains) it_.kept[at(c)] = 0;
            }
        }
        for (std::size_t i = 0; i < it_.points(); ++i)
            it_.height[i] += length[at(component_[i])] * it_.change[i];
        const auto shortest = std::min_element(length.begin(), length.end());
        out_.steps.push_back({0, -1, shortest == length.end() ? 1.0 : *shortest});
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
    Iterate it_;
    NewtonResult out_;
    std::vector<int> component_;               // by point
    std::vector<std::vector<int>> chains_of_;  // by component
    std::vector<std::pair<int, int>> pairs_;   // of points, by chain between two
    std::vector<double> conductance_, to_fixed_;
    std::vector<double> fed_;  // by feed: what it gave after the last step, where drawing curves end
};

}  // namespace

NewtonResult solve_chains(Reduction& reduction, double total_flow, double level_slope, Precision precision,
                          const NewtonStart* start) {
    return Iteration(reduction, total_flow, level_slope).run(start, precision);
}

}  // namespace evenhead::solver
