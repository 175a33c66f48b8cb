#include "solver/balance/newton/feeds.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/LU>

namespace evenhead::solver {
namespace {

using Feeds = std::vector<const ChainFeed*>;

class Follower {
  public:
    Follower(Iterate& iterate, const Elimination& elimination) : it_(iterate), elimination_(elimination) {}

    void run() {
        Feeds straight, loops;
        for (const ChainFeed& feed : it_.reduction.feeds) {
            if (draws_all(feed)) (feed.loops ? loops : straight).push_back(&feed);
        }
        substitute(straight);
        if (!loops.empty()) solve_loops(loops);
    }

  private:
    // The height at the inlet suffices for all that is fed: the flow stands at the end of its curve.
    bool draws_all(const ChainFeed& feed) const {
        if (feed.drawing < 0 || feed.fed < 0 || it_.slope[at(feed.drawing)] < 1 / leak) return false;
        const Series& law = it_.reduction.laws[at(feed.drawing)];
        if (!law.passes(feed.drawing_reversed)) return false;  // a one-way element bars its way
        const double D = it_.at_height[at(feed.drawing)];
        return feed.drawing_reversed ? D <= law.losses(law.low()).high : D >= law.losses(law.high()).low;
    }
    double fed(const ChainFeed& feed) const {
        return feed.fed_reversed ? -it_.predicted(at(feed.fed)) : it_.predicted(at(feed.fed));
    }
    double drawn(const ChainFeed& feed) const {
        const double q = it_.at_flow[at(feed.drawing)];
        return feed.drawing_reversed ? -q : q;
    }
    void set_drawn(const ChainFeed& feed, double q) {
        it_.at_flow[at(feed.drawing)] = feed.drawing_reversed ? -q : q;
    }
    // The point it draws from; `fixed` where it comes straight from a fixed height.
    int inlet(const ChainFeed& feed) const {
        const Chain& chain = it_.reduction.chains[at(feed.drawing)];
        return feed.drawing_reversed ? chain.to : chain.from;
    }

    // Ends after as many rounds as feeds follow one another.
    void substitute(const Feeds& straight) {
        std::vector<double> more(it_.points());
        for (std::size_t round = 0; round <= straight.size(); ++round) {
            std::fill(more.begin(), more.end(), 0.0);
            bool changed = false;
            for (const ChainFeed* feed : straight) {
                const double before = drawn(*feed), now = std::max(0.0, fed(*feed));
                if (std::abs(now - before) <= 1e-15 * std::abs(before)) continue;
                changed = true;
                set_drawn(*feed, now);
                if (inlet(*feed) != fixed) more[at(inlet(*feed))] -= now - before;
            }
            if (!changed) return;
            elimination_.solve(more);
            for (std::size_t i = 0; i < more.size(); ++i) it_.change[i] += more[i];
        }
    }

    void solve_loops(const Feeds& loops) {
        const int n = static_cast<int>(loops.size());
        Eigen::MatrixXd matrix = Eigen::MatrixXd::Identity(n, n);
        Eigen::VectorXd missing(n), before(n);
        std::vector<std::vector<double>> effect(loops.size(), std::vector<double>(it_.points(), 0.0));
        for (int i = 0; i < n; ++i) {
            before[i] = drawn(*loops[at(i)]);
            missing[i] = fed(*loops[at(i)]) - before[i];
        }
        for (int j = 0; j < n; ++j) {
            const ChainFeed& draws = *loops[at(j)];
            if (inlet(draws) != fixed) effect[at(j)][at(inlet(draws))] = -1;
            elimination_.solve(effect[at(j)]);
            for (int i = 0; i < n; ++i) matrix(i, j) -= fed_by_a_unit(*loops[at(i)], draws, effect[at(j)]);
        }
        Eigen::VectorXd more = matrix.partialPivLu().solve(missing);
        // Nothing is drawn where an outlet would take water in: the worst first, then the others again.
        for (int round = 0; round < n; ++round) {
            Eigen::Index worst = 0;
            if ((before + more).minCoeff(&worst) >= -1e-15 * it_.small_flow) break;
            matrix.row(worst).setZero();
            matrix(worst, worst) = 1;
            missing[worst] = -before[worst];
            more = matrix.partialPivLu().solve(missing);
        }
        if (!more.allFinite()) return;
        for (int j = 0; j < n; ++j) {
            set_drawn(*loops[at(j)], before[j] + more[j]);
            for (std::size_t i = 0; i < it_.points(); ++i) it_.change[i] += more[j] * effect[at(j)][i];
        }
    }

    // C: what one more unit drawn, with its effect on the heights, changes in what a feed gives.
    double fed_by_a_unit(const ChainFeed& feed, const ChainFeed& draws,
                         const std::vector<double>& effect) const {
        const std::size_t chain = at(feed.fed);
        const double flow = feed.fed == draws.drawing ? (draws.drawing_reversed ? -1.0 : 1.0)
                                                      : it_.change_along(chain, effect) / it_.slope[chain];
        return feed.fed_reversed ? -flow : flow;
    }

    Iterate& it_;
    const Elimination& elimination_;
};

}  // namespace

std::vector<double> fed_flows(const Iterate& iterate) {
    std::vector<double> fed;
    for (const ChainFeed& feed : iterate.reduction.feeds) {
        const double q = feed.fed < 0 ? 0.0 : iterate.flow[at(feed.fed)];
        fed.push_back(feed.fed_reversed ? -q : q);
    }
    return fed;
}

void end_draws(Reduction& reduction, const std::vector<double>& fed) {
    for (std::size_t f = 0; f < fed.size(); ++f) {
        const ChainFeed& feed = reduction.feeds[f];
        if (feed.drawing < 0) continue;
        reduction.laws[at(feed.drawing)].limit(feed.drawing_reversed, std::max(0.0, fed[f]));
    }
}

void follow_feeds(Iterate& iterate, const Elimination& elimination) {
    Follower(iterate, elimination).run();
}

}  // namespace evenhead::solver
