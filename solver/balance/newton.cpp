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
#include "solver/balance/newton.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <Eigen/LU>

#include "model/position.hpp"
#include "solver/balance/chain_tree.hpp"
#include "solver/balance/elimination.hpp"

namespace evenhead::solver {
namespace {

constexpr double leak = 1e-17;   // m2/s: conductance of an upright part, so that the matrix stays definite
constexpr double tight = 1e-9;   // m: mismatch to stop at
constexpr double enough = 1e-7;  // m: mismatch to stop at where rounding forbids more
constexpr double edge = 1e-7;    // m: this near to a kink both of its branches are open
constexpr double blur = 1e-10;   // m: what the line search takes for the same height
constexpr double dying =
    0.2;  // a flow that falls to this share in a step, towards an upright part, ends there
constexpr double coarse = 1e-3;  // m: mismatch to stop at for Precision::coarse
constexpr int most_solves = 200, most_coarse_solves = 12;
constexpr double search_share = 0.3;  // a step is long enough where the derivative has fallen to this share

class Iteration {
  public:
    Iteration(Reduction& reduction, double total_flow, double level_slope)
        : red_(reduction),
          small_flow_(1e-6 * total_flow),
          level_slope_(level_slope),
          count_(reduction.chains.size()),
          points_(reduction.branch_node.size()) {}

    NewtonResult run(const NewtonStart* start, Precision precision) {
        prepare();
        Elimination elimination(static_cast<int>(points_), pairs_);
        if (start) {
            start_from(*start);
        } else {
            first_step(elimination);
        }
        settle_alone();
        if (points_ == 0 && red_.feeds.empty()) {
            out_.converged = true;
            return std::move(out_);
        }
        end_draws();
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
            if (precision == Precision::coarse && out_.solves > 0 &&
                (mismatch <= coarse || out_.solves >= most_coarse_solves)) {
                out_.converged = mismatch <= coarse;
                break;
            }
            if (out_.solves >= most_solves) break;
            step(elimination);
        }
        close_flows();
        return std::move(out_);
    }

  private:
    // A chain between two fixed heights, or one that returns to its own point: its height is given.
    bool alone(int c) const { return red_.chains[at(c)].from == red_.chains[at(c)].to; }

    void prepare() {
        out_.flow.assign(count_, 0.0);
        out_.height.assign(points_, 0.0);
        flow_at_.assign(count_, 0.0);
        last_.assign(count_, 0.0);
        height_.assign(count_, 0.0);
        slope_.assign(count_, 0.0);
        drawn_.assign(red_.feeds.size(), 0.0);
        std::vector<int> root(points_);
        std::iota(root.begin(), root.end(), 0);
        const auto find = [&](int node) {
            while (root[at(node)] != node) node = root[at(node)] = root[at(root[at(node)])];
            return node;
        };
        for (std::size_t c = 0; c < count_; ++c) {
            const Chain& chain = red_.chains[c];
            if (chain.from == fixed || chain.to == fixed || chain.from == chain.to) continue;
            pairs_.emplace_back(chain.from, chain.to);
            root[at(find(chain.from))] = find(chain.to);
        }
        component_.assign(points_, -1);
        for (std::size_t point = 0; point < points_; ++point) {
            int& number = component_[at(find(static_cast<int>(point)))];
            if (number < 0) {
                number = static_cast<int>(of_component_.size());
                of_component_.emplace_back();
            }
            component_[point] = number;
        }
        for (std::size_t c = 0; c < count_; ++c) {
            const Chain& chain = red_.chains[c];
            if (chain.from == chain.to) continue;
            const int point = chain.from == fixed ? chain.to : chain.from;
            of_component_[at(component_[at(point)])].push_back(static_cast<int>(c));
        }
        conductance_.resize(pairs_.size());
        to_fixed_.resize(points_);
        change_.resize(points_);
    }

    // Nominal draws run off along a tree grown from the sources; chains across the tree start at rest.
    void first_flows(std::vector<double>& guess, std::vector<char>& given, std::vector<double>& passing) {
        guess.assign(count_, 0.0);
        given.assign(count_, 0);
        passing.assign(points_, 0.0);
        std::vector<int> allowed;
        for (std::size_t c = 0; c < count_; ++c) {
            const Chain& chain = red_.chains[c];
            if (chain.from == chain.to) continue;
            if (chain.source || (chain.from != fixed && chain.to != fixed)) {
                allowed.push_back(static_cast<int>(c));
                continue;
            }
            guess[c] = chain.nominal;
            given[c] = 1;
            passing[at(chain.from == fixed ? chain.to : chain.from)] -= std::abs(chain.nominal);
        }
        const ChainTree tree(red_, allowed);
        tree.drain(passing, guess);
        for (const int c : tree.chains()) given[at(c)] = 1;
        for (double& flow : passing) flow = std::abs(flow);
    }

    void start_from(const NewtonStart& start) {
        out_.height = start.height;
        out_.flow = flow_at_ = last_ = start.flow;
        out_.steps.push_back({});
    }

    double end_height(int point, double fixed_height) const {
        return point == fixed ? fixed_height : out_.height[at(point)];
    }
    double chain_height(int c) const {
        const Chain& chain = red_.chains[at(c)];
        return end_height(chain.from, chain.from_height) - end_height(chain.to, chain.to_height);
    }
    double change(int c) const { return change(c, change_); }
    double change(int c, const std::vector<double>& heights) const {
        const Chain& chain = red_.chains[at(c)];
        return (chain.from == fixed ? 0.0 : heights[at(chain.from)]) -
               (chain.to == fixed ? 0.0 : heights[at(chain.to)]);
    }

    double bounded(double slope) const { return std::clamp(slope, level_slope_, 1 / leak); }

    // Solves for the change of heights with the chords q = flow_at_ + (D - height_) / slope_ at the present
    // heights.
    void solve_linear(Elimination& elimination) {
        std::fill(to_fixed_.begin(), to_fixed_.end(), 0.0);
        std::fill(change_.begin(), change_.end(), 0.0);
        std::size_t pair = 0;
        for (std::size_t c = 0; c < count_; ++c) {
            const Chain& chain = red_.chains[c];
            if (chain.from == chain.to) continue;
            const double g = 1 / slope_[c];
            const double q = flow_at_[c] + (chain_height(static_cast<int>(c)) - height_[c]) * g;
            if (chain.from != fixed) change_[at(chain.from)] -= q;
            if (chain.to != fixed) change_[at(chain.to)] += q;
            if (chain.from != fixed && chain.to != fixed) {
                conductance_[pair++] = g;
            } else {
                to_fixed_[at(chain.from == fixed ? chain.to : chain.from)] += g;
            }
        }
        elimination.factorise(conductance_, to_fixed_);
        elimination.solve(change_);
        ++out_.solves;
    }

    void settle_alone() {
        for (std::size_t c = 0; c < count_; ++c) {
            if (!alone(static_cast<int>(c))) continue;
            height_[c] = chain_height(static_cast<int>(c));
            out_.flow[c] = flow_at_[c] = red_.laws[c].flow(height_[c], red_.chains[c].nominal);
            slope_[c] = 1 / leak;
        }
    }

    // Tangents at the first flows; a chain across the tree as the straight line to a share of what passes its
    // ends.
    void first_step(Elimination& elimination) {
        std::vector<double> guess, passing;
        std::vector<char> given;
        first_flows(guess, given, passing);
        for (const ChainFeed& feed : red_.feeds) {
            if (feed.drawing >= 0) {
                red_.laws[at(feed.drawing)].limit(feed.drawing_reversed,
                                                  std::abs(red_.chains[at(feed.drawing)].nominal));
            }
        }
        for (std::size_t c = 0; c < count_; ++c) {
            const Series& law = red_.laws[c];
            const Chain& chain = red_.chains[c];
            if (chain.from == chain.to) continue;
            if (given[c]) {
                const double q = std::clamp(guess[c], law.low(), law.high());
                double slope =
                    law.slope(std::abs(q) < small_flow_ && law.high() > small_flow_ ? small_flow_ : q);
                if (slope <= 2 * level_slope_ && q >= law.high()) slope = infinity;  // a constant draw
                flow_at_[c] = q;
                height_[c] = law.loss(q);
                slope_[c] = bounded(slope);
            } else {
                double across = small_flow_;
                for (const int end : {chain.from, chain.to}) {
                    if (end != fixed) across = std::max(across, 0.3 * passing[at(end)]);
                }
                const bool backward = law.high() <= 0;
                const double q = backward ? std::max(-across, law.low()) : std::min(across, law.high());
                flow_at_[c] = 0;
                height_[c] = law.loss(0);
                slope_[c] = bounded(q == 0 ? infinity : (law.loss(q) - law.loss(0)) / q);
            }
        }
        if (points_ == 0) {
            out_.steps.push_back({});
            return;
        }
        solve_linear(elimination);
        out_.height = change_;
        for (std::size_t c = 0; c < count_; ++c) {
            if (alone(static_cast<int>(c))) continue;
            out_.flow[c] = flow_at_[c] + (chain_height(static_cast<int>(c)) - height_[c]) / slope_[c];
        }
        out_.steps.push_back({});
    }

    // Puts each chain's chord at the present heights, and returns the largest mismatch: the smaller of the
    // height and the flow (as height, by the slope) between the chord's flow of the last step and the curve.
    double measure() {
        double worst = 0;
        int where = -1;
        largest_height_ = 0;
        for (std::size_t c = 0; c < count_; ++c) {
            const Series& law = red_.laws[c];
            const double D = chain_height(static_cast<int>(c));
            largest_height_ = std::max(largest_height_, std::abs(D));
            const double q = std::clamp(out_.flow[c], law.low(), law.high());
            const double on_curve = law.flow(D, q);
            const double off = off_curve(law, q, D);
            const double before = std::clamp(flow_at_[c], law.low(), law.high());
            const double still = 1e-7 * std::abs(on_curve), moved = std::abs(before - on_curve);
            const double second = moved <= still || std::abs(q - on_curve) <= moved ? q : before;
            const double apart = std::abs(on_curve - second);
            double slope;
            if (apart <= 1e-7 * std::max(std::abs(on_curve), std::abs(second))) {
                slope = stands_upright(law, on_curve, D) || leaves(law, on_curve, out_.flow[c])
                            ? infinity
                            : law.slope(std::abs(on_curve) < small_flow_
                                            ? std::clamp(small_flow_, law.low(), law.high())
                                            : on_curve);
            } else {
                const bool dies = second == q && stands_upright(law, on_curve, D) &&
                                  std::abs(q - on_curve) < dying * std::abs(last_[c] - on_curve);
                slope = dies ? infinity : off_curve(law, second, D) / apart;
            }
            last_[c] = out_.flow[c];
            flow_at_[c] = on_curve;
            height_[c] = D;
            slope_[c] = bounded(slope);
            const double outside = std::abs(out_.flow[c] - q);  // left the domain: by as much flow
            const double by_flow = outside + std::abs(on_curve - q);
            const double along = by_flow <= 1e-13 * std::abs(q) ? 0 : without_rounding(by_flow) * slope_[c];
            const double miss =
                outside > small_flow_ * 1e-4 ? std::max(off, 10 * enough) : std::min(off, along);
            if (miss > worst || where < 0) {
                worst = miss;
                where = static_cast<int>(c);
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

    // The chord's flow after the whole step.
    double predicted(int c) const { return flow_at_[at(c)] + change(c) / slope_[at(c)]; }
    double fed(const ChainFeed& feed) const {
        if (feed.fed < 0) return 0;
        return feed.fed_reversed ? -predicted(feed.fed) : predicted(feed.fed);
    }
    // Where the chain draws: -1 where it comes straight from a fixed height.
    int inlet(const ChainFeed& feed) const {
        const Chain& chain = red_.chains[at(feed.drawing)];
        return feed.drawing_reversed ? chain.to : chain.from;
    }
    bool draws_all(const ChainFeed& feed) const {
        if (feed.drawing < 0 || feed.fed < 0 || slope_[at(feed.drawing)] < 1 / leak) return false;
        const Series& law = red_.laws[at(feed.drawing)];
        const double D = height_[at(feed.drawing)];
        return feed.drawing_reversed ? D <= law.losses(law.low()).high : D >= law.losses(law.high()).low;
    }
    void set_drawn(const ChainFeed& feed, double q) {
        flow_at_[at(feed.drawing)] = feed.drawing_reversed ? -q : q;
    }
    double drawn(const ChainFeed& feed) const {
        const double q = flow_at_[at(feed.drawing)];
        return feed.drawing_reversed ? -q : q;
    }

    // Lets the chains that draw all that their feeds want follow the change of those.
    void settle_draws(const Elimination& elimination) {
        std::vector<const ChainFeed*> straight, loops;
        for (const ChainFeed& feed : red_.feeds) {
            if (draws_all(feed)) (feed.loops ? loops : straight).push_back(&feed);
        }
        std::vector<double> more(points_);
        for (std::size_t round = 0; round <= straight.size(); ++round) {
            std::fill(more.begin(), more.end(), 0.0);
            bool changed = false;
            for (const ChainFeed* feed : straight) {
                const double change_of_draw = std::max(0.0, fed(*feed)) - drawn(*feed);
                if (std::abs(change_of_draw) <= 1e-15 * std::abs(drawn(*feed))) continue;
                changed = true;
                set_drawn(*feed, drawn(*feed) + change_of_draw);
                if (inlet(*feed) != fixed) more[at(inlet(*feed))] -= change_of_draw;
            }
            if (!changed) break;
            elimination.solve(more);
            for (std::size_t i = 0; i < points_; ++i) change_[i] += more[i];
        }
        settle_loops(elimination, loops);
    }

    void settle_loops(const Elimination& elimination, const std::vector<const ChainFeed*>& loops) {
        const int n = static_cast<int>(loops.size());
        if (n == 0) return;
        Eigen::MatrixXd matrix = Eigen::MatrixXd::Identity(n, n);
        Eigen::VectorXd missing(n), before(n);
        std::vector<std::vector<double>> effect(loops.size(), std::vector<double>(points_, 0.0));
        for (int i = 0; i < n; ++i) {
            before[i] = drawn(*loops[at(i)]);
            missing[i] = fed(*loops[at(i)]) - before[i];
        }
        for (int j = 0; j < n; ++j) {
            const ChainFeed& draws = *loops[at(j)];
            if (inlet(draws) != fixed) effect[at(j)][at(inlet(draws))] = -1;
            elimination.solve(effect[at(j)]);
            for (int i = 0; i < n; ++i) matrix(i, j) -= fed_by_a_unit(*loops[at(i)], draws, effect[at(j)]);
        }
        Eigen::VectorXd more = matrix.partialPivLu().solve(missing);
        // Nothing is drawn where an outlet would take water in: the worst first, then the others again.
        for (int round = 0; round < n; ++round) {
            Eigen::Index worst = 0;
            if ((before + more).minCoeff(&worst) >= -1e-15 * small_flow_) break;
            matrix.row(worst).setZero();
            matrix(worst, worst) = 1;
            missing[worst] = -before[worst];
            more = matrix.partialPivLu().solve(missing);
        }
        if (!more.allFinite()) return;
        for (int j = 0; j < n; ++j) {
            set_drawn(*loops[at(j)], before[j] + more[j]);
            for (std::size_t i = 0; i < points_; ++i) change_[i] += more[j] * effect[at(j)][i];
        }
    }

    // What one more unit drawn, with its effect on the heights, changes in what a feed gives.
    double fed_by_a_unit(const ChainFeed& feed, const ChainFeed& draws,
                         const std::vector<double>& effect) const {
        if (feed.fed < 0) return 0;
        const double flow = feed.fed == draws.drawing ? (draws.drawing_reversed ? -1.0 : 1.0)
                                                      : change(feed.fed, effect) / slope_[at(feed.fed)];
        return feed.fed_reversed ? -flow : flow;
    }

    // The curves of drawing chains end at what their outlets feed by the flows of the last step.
    void end_draws() {
        for (std::size_t f = 0; f < red_.feeds.size(); ++f) {
            const ChainFeed& feed = red_.feeds[f];
            const double q = feed.fed < 0 ? 0.0 : out_.flow[at(feed.fed)];
            drawn_[f] = feed.fed_reversed ? -q : q;
            if (feed.drawing < 0) continue;
            red_.laws[at(feed.drawing)].limit(feed.drawing_reversed, std::max(0.0, drawn_[f]));
        }
    }

    // The chain's flow at H + t dH. Where the curve is so steep in the height that the last digits of heights
    // do not tell the flow, the chord's does as well.
    double flow_along(int c, double t, double dD) const {
        const Series& law = red_.laws[at(c)];
        const double D = height_[at(c)] + t * dD;
        const double by_chord = flow_at_[at(c)] + t * (out_.flow[at(c)] - flow_at_[at(c)]);
        if (law.low() <= by_chord && by_chord <= law.high() && off_curve(law, by_chord, D) <= blur)
            return by_chord;
        return law.flow(D, by_chord);
    }

    // dF/dt of one component at H + t dH.
    double derivative(const std::vector<int>& chains, double t) const {
        double sum = 0;
        for (const int c : chains) {
            const double dD = change(c);
            if (dD == 0) continue;
            sum += flow_along(c, t, dD) * dD;
        }
        return sum;
    }

    double step_length(const std::vector<int>& chains) const {
        // `rounding`: what the last digits of the heights make of the flows, and so of the derivative.
        double start = 0, rounding = 0;
        for (const int c : chains) {
            const double dD = change(c);
            start += flow_at_[at(c)] * dD;
            rounding +=
                (1e-12 * std::abs(flow_at_[at(c)]) + 1e-15 * largest_height_ / slope_[at(c)]) * std::abs(dD);
        }
        if (!(start < -rounding)) return 1;
        const double bound = rounding - search_share * start;
        double right = 1, right_value = derivative(chains, 1);
        if (right_value <= bound) return 1;
        double left = 0, left_value = start;
        for (int i = 0; i < 40; ++i) {
            // False position, kept away from the ends; halving where it creeps.
            const double share = std::clamp(-left_value / (right_value - left_value), 0.02, 0.98);
            const double t = left + (i % 3 == 2 ? 0.5 : share) * (right - left);
            const double value = derivative(chains, t);
            if (std::abs(value) <= bound) return t;
            (value > 0 ? right : left) = t;
            (value > 0 ? right_value : left_value) = value;
        }
        return left > 0 ? left : right;
    }

    void step(Elimination& elimination) {
        solve_linear(elimination);
        settle_draws(elimination);
        for (std::size_t c = 0; c < count_; ++c) out_.flow[c] = predicted(static_cast<int>(c));
        end_draws();
        std::vector<double> length(of_component_.size());
        for (std::size_t i = 0; i < length.size(); ++i) length[i] = step_length(of_component_[i]);
        for (std::size_t i = 0; i < points_; ++i) out_.height[i] += length[at(component_[i])] * change_[i];
        const auto shortest = std::min_element(length.begin(), length.end());
        out_.steps.push_back({0, -1, shortest == length.end() ? 1.0 : *shortest});
    }

    // Flows on upright parts take their exact value; what is then missing at the points runs along a tree of
    // the chains of least slope, whose losses it changes least.
    void close_flows() {
        std::vector<int> order;
        for (std::size_t c = 0; c < count_; ++c) {
            const Series& law = red_.laws[c];
            double& q = out_.flow[c];
            q = std::clamp(q, law.low(), law.high());
            const double curve = flow_at_[c];
            const LossRange range = law.losses(curve);
            if (range.high > range.low || curve == 0 || alone(static_cast<int>(c))) q = curve;
            q = without_rounding(q);
            if (!alone(static_cast<int>(c))) order.push_back(static_cast<int>(c));
        }
        std::sort(order.begin(), order.end(), [&](int a, int b) {
            return slope_[at(a)] != slope_[at(b)] ? slope_[at(a)] < slope_[at(b)] : a < b;
        });
        std::vector<int> root(points_ + 1);
        std::iota(root.begin(), root.end(), 0);
        const auto find = [&](int node) {
            if (node == fixed) node = static_cast<int>(points_);
            while (root[at(node)] != node) node = root[at(node)] = root[at(root[at(node)])];
            return node;
        };
        std::vector<int> chosen;
        std::vector<char> carries(count_, 0);
        for (const int c : order) {
            const int a = find(red_.chains[at(c)].from), b = find(red_.chains[at(c)].to);
            if (a == b) continue;
            root[at(a)] = b;
            carries[at(c)] = 1;
            chosen.push_back(c);
        }
        std::vector<double> excess(points_, 0.0);
        for (const int c : order) {
            if (carries[at(c)]) continue;
            const Chain& chain = red_.chains[at(c)];
            if (chain.from != fixed) excess[at(chain.from)] -= out_.flow[at(c)];
            if (chain.to != fixed) excess[at(chain.to)] += out_.flow[at(c)];
        }
        const ChainTree tree(red_, chosen);
        tree.drain(excess, out_.flow);
        for (const int c : chosen) out_.flow[at(c)] = without_rounding(out_.flow[at(c)]);
        for (std::size_t point = 0; point < points_; ++point) {
            const std::vector<int>& chains = of_component_[at(component_[point])];
            const bool floats = std::none_of(chains.begin(), chains.end(), [&](int c) {
                return red_.chains[at(c)].from == fixed || red_.chains[at(c)].to == fixed;
            });
            out_.floats.push_back(floats ? component_[point] : -1);
        }
        for (std::size_t f = 0; f < red_.feeds.size(); ++f) {
            const ChainFeed& feed = red_.feeds[f];
            const double q = feed.fed < 0 ? 0.0 : out_.flow[at(feed.fed)];
            const double most = std::max(0.0, without_rounding(drawn_[f]));
            out_.feeds.push_back({feed.fed_reversed ? -q : q, most});
        }
    }

    // What rounding leaves of nothing is nothing: still water is found by flows of exactly 0.
    double without_rounding(double q) const { return std::abs(q) < 1e-10 * small_flow_ ? 0.0 : q; }

    Reduction& red_;
    double small_flow_, level_slope_;
    std::size_t count_, points_;
    NewtonResult out_;
    std::vector<std::pair<int, int>> pairs_;
    std::vector<int> component_;                    // by point
    std::vector<std::vector<int>> of_component_;    // its chains
    std::vector<double> flow_at_, height_, slope_;  // chords
    std::vector<double> last_;                      // their flows before the last step
    std::vector<double> conductance_, to_fixed_, change_;
    std::vector<double> drawn_;  // by feed: what it fed by the last step
    double largest_height_ = 0;
};

}  // namespace

NewtonResult solve_chains(Reduction& reduction, double total_flow, double level_slope, Precision precision,
                          const NewtonStart* start) {
    return Iteration(reduction, total_flow, level_slope).run(start, precision);
}

}  // namespace evenhead::solver
