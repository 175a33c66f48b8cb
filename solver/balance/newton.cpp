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
// The flows printed are the chord's, which balance exactly, after the imbalance left by rounding has been
// carried along a tree of the chains of least slope to the fixed heights.
#include "solver/balance/newton.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "model/position.hpp"
#include "solver/balance/elimination.hpp"

namespace evenhead::solver {
namespace {

constexpr double leak = 1e-17;   // m2/s: conductance of an upright part, so that the matrix stays definite
constexpr double tight = 1e-9;   // m: mismatch to stop at
constexpr double enough = 1e-7;  // m: mismatch to stop at where rounding forbids more
constexpr double edge = 1e-7;    // m: this near to a kink both of its branches are open
constexpr double search_share = 0.3;  // a step is long enough where the derivative has fallen to this share

class Iteration {
  public:
    Iteration(const Reduction& reduction, double total_flow, double level_slope)
        : red_(reduction),
          small_flow_(1e-6 * total_flow),
          level_slope_(level_slope),
          count_(reduction.chains.size()) {}

    NewtonResult run(const NewtonStart* start, int most_solves) {
        out_.flow.assign(count_, 0.0);
        out_.height.assign(red_.branch_node.size(), 0.0);
        solve_single_chains();
        if (free_.empty()) {
            out_.converged = true;
            return std::move(out_);
        }
        link_points();
        Elimination elimination(static_cast<int>(red_.branch_node.size()), pairs_);
        if (start) {
            start_from(*start);
        } else {
            first_flows();
            first_step(elimination);
        }
        double best = infinity;
        int since_best = 0;
        for (;;) {
            const double mismatch = measure();
            if (mismatch < 0.5 * best)
                since_best = 0;
            else
                ++since_best;
            best = std::min(best, mismatch);
            out_.mismatch = mismatch;
            const double rounding = 1e-13 * largest_height_;
            // Flows to start from lie on their curves but need not balance: those of a step do.
            if (out_.solves > 0 && (mismatch <= tight + rounding || (mismatch <= enough && since_best > 2))) {
                out_.converged = true;
                break;
            }
            if (out_.solves >= most_solves) break;
            step(elimination);
        }
        close_flows();
        return std::move(out_);
    }

  private:
    // A chain between two fixed heights, and one that returns to its own point, stands alone.
    void solve_single_chains() {
        for (std::size_t c = 0; c < count_; ++c) {
            const Chain& chain = red_.chains[c];
            if (chain.from == chain.to) {
                const double D = chain.from == fixed ? chain.from_height - chain.to_height : 0.0;
                out_.flow[c] = red_.laws[c].flow(D, chain.nominal);
            } else {
                free_.push_back(static_cast<int>(c));
            }
        }
    }

    // Nominal draws summed from the leaves of a tree grown from the sources; chains across the tree start at
    // rest.
    void first_flows() {
        const std::size_t points = red_.branch_node.size();
        std::vector<std::vector<int>> at_point(points);
        for (const int c : free_) {
            for (const int end : {red_.chains[at(c)].from, red_.chains[at(c)].to}) {
                if (end != fixed) at_point[at(end)].push_back(c);
            }
        }
        std::vector<int> parent(points, -1), order;
        std::vector<char> seen(points, 0);
        guess_.assign(count_, 0.0);
        on_tree_.assign(count_, 0);
        std::vector<double> draw(points, 0.0);
        for (const int c : free_) {
            const Chain& chain = red_.chains[at(c)];
            if (chain.from != fixed && chain.to != fixed) continue;
            const int point = chain.from == fixed ? chain.to : chain.from;
            if (chain.source && !seen[at(point)]) {
                seen[at(point)] = 1;
                parent[at(point)] = c;
                order.push_back(point);
            }
            if (!chain.source) {
                guess_[at(c)] = chain.nominal;
                draw[at(point)] += std::abs(chain.nominal);
                on_tree_[at(c)] = 1;
            }
        }
        for (std::size_t i = 0; i < order.size(); ++i) {
            for (const int c : at_point[at(order[i])]) {
                const Chain& chain = red_.chains[at(c)];
                const int next = chain.from == order[i] ? chain.to : chain.from;
                if (next == fixed || seen[at(next)]) continue;
                seen[at(next)] = 1;
                parent[at(next)] = c;
                order.push_back(next);
            }
        }
        for (std::size_t i = order.size(); i-- > 0;) {
            const int point = order[i], c = parent[at(point)];
            const Chain& chain = red_.chains[at(c)];
            on_tree_[at(c)] = 1;
            guess_[at(c)] = chain.to == point ? draw[at(point)] : -draw[at(point)];
            const int above = chain.to == point ? chain.from : chain.to;
            if (above != fixed) draw[at(above)] += draw[at(point)];
        }
        passing_ = std::move(draw);
    }

    void link_points() {
        pairs_.clear();
        for (const int c : free_) {
            const Chain& chain = red_.chains[at(c)];
            if (chain.from != fixed && chain.to != fixed) pairs_.emplace_back(chain.from, chain.to);
        }
        flow_at_.assign(count_, 0.0);
        height_.assign(count_, 0.0);
        slope_.assign(count_, 0.0);
        conductance_.resize(pairs_.size());
        to_fixed_.resize(red_.branch_node.size());
        balance_.resize(red_.branch_node.size());
    }

    void start_from(const NewtonStart& start) {
        out_.height = start.height;
        for (const int c : free_) out_.flow[at(c)] = flow_at_[at(c)] = start.flow[at(c)];
        out_.steps.push_back({});
    }

    double end_height(int point, double fixed_height) const {
        return point == fixed ? fixed_height : out_.height[at(point)];
    }
    double change(int c) const {
        const Chain& chain = red_.chains[at(c)];
        return (chain.from == fixed ? 0.0 : balance_[at(chain.from)]) -
               (chain.to == fixed ? 0.0 : balance_[at(chain.to)]);
    }

    double bounded(double slope) const { return std::clamp(slope, level_slope_, 1 / leak); }

    // Solves for the change of heights with the chords q = flow_at_ + (D - height_) / slope_ at the present
    // heights.
    void solve_linear(Elimination& elimination) {
        std::fill(to_fixed_.begin(), to_fixed_.end(), 0.0);
        std::fill(balance_.begin(), balance_.end(), 0.0);
        std::size_t pair = 0;
        for (const int c : free_) {
            const Chain& chain = red_.chains[at(c)];
            const double g = 1 / slope_[at(c)];
            const double D =
                end_height(chain.from, chain.from_height) - end_height(chain.to, chain.to_height);
            const double q = flow_at_[at(c)] + (D - height_[at(c)]) * g;
            if (chain.from != fixed) balance_[at(chain.from)] -= q;
            if (chain.to != fixed) balance_[at(chain.to)] += q;
            if (chain.from != fixed && chain.to != fixed) {
                conductance_[pair++] = g;
            } else {
                to_fixed_[at(chain.from == fixed ? chain.to : chain.from)] += g;
            }
        }
        elimination.factorise(conductance_, to_fixed_);
        elimination.solve(balance_);
        ++out_.solves;
    }

    // Tangents at the first flows; a chain across the tree as the straight line to a share of what passes its
    // ends.
    void first_step(Elimination& elimination) {
        for (const int c : free_) {
            const Series& law = red_.laws[at(c)];
            const Chain& chain = red_.chains[at(c)];
            if (on_tree_[at(c)]) {
                const double q = std::clamp(guess_[at(c)], law.low(), law.high());
                double slope =
                    law.slope(std::abs(q) < small_flow_ && law.high() > small_flow_ ? small_flow_ : q);
                if (slope <= 2 * level_slope_ && q >= law.high()) slope = infinity;  // a constant draw
                flow_at_[at(c)] = q;
                height_[at(c)] = law.loss(q);
                slope_[at(c)] = bounded(slope);
            } else {
                double passing = small_flow_;
                for (const int end : {chain.from, chain.to}) {
                    if (end != fixed) passing = std::max(passing, 0.3 * passing_[at(end)]);
                }
                const bool backward = law.high() <= 0;
                const double q = backward ? std::max(-passing, law.low()) : std::min(passing, law.high());
                flow_at_[at(c)] = 0;
                height_[at(c)] = law.loss(0);
                slope_[at(c)] = bounded(q == 0 ? infinity : (law.loss(q) - law.loss(0)) / q);
            }
        }
        solve_linear(elimination);
        for (std::size_t i = 0; i < balance_.size(); ++i) out_.height[i] = balance_[i];
        for (const int c : free_) {
            const double D = chain_height(c);
            out_.flow[at(c)] = flow_at_[at(c)] + (D - height_[at(c)]) / slope_[at(c)];
        }
        out_.steps.push_back({});
    }

    double chain_height(int c) const {
        const Chain& chain = red_.chains[at(c)];
        return end_height(chain.from, chain.from_height) - end_height(chain.to, chain.to_height);
    }

    // Puts each chain's chord at the present heights, and returns the largest mismatch: the smaller of the
    // height and the flow (as height, by the slope) between the chord's flow of the last step and the curve.
    double measure() {
        double worst = 0;
        int where = -1;
        largest_height_ = 0;
        for (const int c : free_) {
            const Series& law = red_.laws[at(c)];
            const double D = chain_height(c);
            largest_height_ = std::max(largest_height_, std::abs(D));
            const double q = std::clamp(out_.flow[at(c)], law.low(), law.high());
            const double on_curve = law.flow(D, q);
            const double off = off_curve(law, q, D);
            const double before = flow_at_[at(c)];
            const double second = std::abs(q - on_curve) <= std::abs(before - on_curve) ? q : before;
            const double apart = std::abs(on_curve - second);
            double slope;
            if (apart <= 1e-7 * std::max(std::abs(on_curve), std::abs(second))) {
                slope = stands_upright(law, on_curve, D) || leaves(law, on_curve, out_.flow[at(c)])
                            ? infinity
                            : law.slope(std::abs(on_curve) < small_flow_
                                            ? std::clamp(small_flow_, law.low(), law.high())
                                            : on_curve);
            } else {
                slope = off_curve(law, second, D) / apart;
            }
            flow_at_[at(c)] = on_curve;
            height_[at(c)] = D;
            slope_[at(c)] = bounded(slope);
            const double outside = std::abs(out_.flow[at(c)] - q);  // left the domain: by as much flow
            const double along = (outside + std::abs(on_curve - q)) * slope_[at(c)];
            const double miss =
                outside > small_flow_ * 1e-4 ? std::max(off, 10 * enough) : std::min(off, along);
            if (miss > worst || where < 0) {
                worst = miss;
                where = c;
            }
        }
        out_.steps.back().mismatch = worst;
        out_.steps.back().chain = where;
        return worst;
    }

    // Inside an upright part, and not just at the edge where another branch begins.
    static bool stands_upright(const Series& law, double q, double D) {
        const LossRange range = law.losses(q);
        return range.low + edge < D && D < range.high - edge;
    }

    // The last step would have carried the flow out of the end of the domain where it stands: it stays there.
    static bool leaves(const Series& law, double q, double predicted) {
        return (q <= law.low() && predicted < law.low()) || (q >= law.high() && predicted > law.high());
    }

    static double off_curve(const Series& law, double q, double D) {
        const LossRange d = law.losses(q);
        return D < d.low ? d.low - D : std::max(0.0, D - d.high);
    }

    // dF/dt at H + t dH.
    double derivative(double t) const {
        double sum = 0;
        for (const int c : free_) {
            const double dD = change(c);
            if (dD == 0) continue;
            sum += red_.laws[at(c)].flow(height_[at(c)] + t * dD, out_.flow[at(c)]) * dD;
        }
        return sum;
    }

    double step_length() const {
        // `rounding`: what the last digits of the heights make of the flows, and so of the derivative.
        double start = 0, rounding = 0;
        for (const int c : free_) {
            const double dD = change(c);
            start += flow_at_[at(c)] * dD;
            rounding +=
                (1e-12 * std::abs(flow_at_[at(c)]) + 1e-15 * largest_height_ / slope_[at(c)]) * std::abs(dD);
        }
        if (!(start < -rounding)) return 1;
        const double bound = rounding - search_share * start;
        double right = 1, right_value = derivative(1);
        if (right_value <= bound) return 1;
        double left = 0, left_value = start;
        for (int i = 0; i < 40; ++i) {
            // False position, kept away from the ends; halving where it creeps.
            const double share = std::clamp(-left_value / (right_value - left_value), 0.02, 0.98);
            const double t = left + (i % 3 == 2 ? 0.5 : share) * (right - left);
            const double value = derivative(t);
            if (std::abs(value) <= bound) return t;
            (value > 0 ? right : left) = t;
            (value > 0 ? right_value : left_value) = value;
        }
        return left > 0 ? left : right;
    }

    void step(Elimination& elimination) {
        solve_linear(elimination);
        const double t = step_length();
        for (const int c : free_) {
            out_.flow[at(c)] = flow_at_[at(c)] + change(c) / slope_[at(c)];
        }
        for (std::size_t i = 0; i < balance_.size(); ++i) out_.height[i] += t * balance_[i];
        out_.steps.push_back({0, -1, t});
    }

    // Flows on upright parts take their exact value; what is then missing at the points runs along a tree of
    // the chains of least slope, whose losses it changes least.
    void close_flows() {
        for (const int c : free_) {
            const Series& law = red_.laws[at(c)];
            double& q = out_.flow[at(c)];
            q = std::clamp(q, law.low(), law.high());
            const double curve = flow_at_[at(c)];
            const LossRange range = law.losses(curve);
            if (range.high > range.low || curve == 0) q = curve;
        }
        std::vector<int> order(free_);
        std::sort(order.begin(), order.end(), [&](int a, int b) {
            return slope_[at(a)] != slope_[at(b)] ? slope_[at(a)] < slope_[at(b)] : a < b;
        });
        const std::size_t points = red_.branch_node.size();
        std::vector<int> root(points + 1);
        std::iota(root.begin(), root.end(), 0);
        const auto find = [&](int node) {
            while (root[at(node)] != node) node = root[at(node)] = root[at(root[at(node)])];
            return node;
        };
        const auto name = [&](int node) { return node == fixed ? static_cast<int>(points) : node; };
        std::vector<std::vector<int>> tree(points + 1);
        std::vector<char> carries(count_, 0);
        for (const int c : order) {
            const int a = name(red_.chains[at(c)].from), b = name(red_.chains[at(c)].to);
            const int ra = find(a), rb = find(b);
            if (ra == rb) continue;
            root[at(ra)] = rb;
            carries[at(c)] = 1;
            tree[at(a)].push_back(c);
            tree[at(b)].push_back(c);
        }
        std::vector<double> inflow(points, 0.0);
        for (const int c : free_) {
            if (carries[at(c)]) continue;
            const Chain& chain = red_.chains[at(c)];
            if (chain.from != fixed) inflow[at(chain.from)] -= out_.flow[at(c)];
            if (chain.to != fixed) inflow[at(chain.to)] += out_.flow[at(c)];
        }
        std::vector<int> visit{static_cast<int>(points)}, parent(points + 1, -1);
        std::vector<char> seen(points + 1, 0);
        seen[points] = 1;
        for (std::size_t i = 0; i < visit.size(); ++i) {
            for (const int c : tree[at(visit[i])]) {
                const int a = name(red_.chains[at(c)].from), b = name(red_.chains[at(c)].to);
                const int next = a == visit[i] ? b : a;
                if (seen[at(next)]) continue;
                seen[at(next)] = 1;
                parent[at(next)] = c;
                visit.push_back(next);
            }
        }
        for (std::size_t i = visit.size(); i-- > 1;) {
            const int point = visit[i], c = parent[at(point)];
            const Chain& chain = red_.chains[at(c)];
            double& q = out_.flow[at(c)];
            q = chain.from == point ? inflow[at(point)] : -inflow[at(point)];
            if (std::abs(q) < 1e-10 * small_flow_) q = 0;  // what rounding leaves of nothing
            const int above = chain.from == point ? chain.to : chain.from;
            if (above != fixed) inflow[at(above)] += inflow[at(point)];
        }
    }

    const Reduction& red_;
    double small_flow_, level_slope_;
    std::size_t count_;
    NewtonResult out_;
    std::vector<int> free_;                // chains between different points
    std::vector<double> guess_, passing_;  // first flows; what passes each point then
    std::vector<char> on_tree_;
    std::vector<std::pair<int, int>> pairs_;
    std::vector<double> flow_at_, height_, slope_;  // chords
    std::vector<double> conductance_, to_fixed_, balance_;
    double largest_height_ = 0;
};

}  // namespace

NewtonResult solve_chains(const Reduction& reduction, double total_flow, double level_slope,
                          const NewtonStart* start, int most_solves) {
    return Iteration(reduction, total_flow, level_slope).run(start, most_solves);
}

}  // namespace evenhead::solver
