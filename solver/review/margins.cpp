// Margins: the drop d of every supply's static and residual pressures at which a head just misses its lower
// limit. A head's pressure never rises when its supplies fall, so d lies between a drop at which it holds and
// one at which it misses; the two are brought together to 0.01 psi.
#include <algorithm>
#include <cmath>
#include <limits>

#include "model/position.hpp"
#include "solver/parallel.hpp"
#include "solver/review/review.hpp"
#include "solver/review/trial.hpp"

namespace evenhead::solver {
namespace {

constexpr double psi = 6894.757293168361;     // Pa
constexpr double as_close_as = 0.01 * psi;    // Pa
constexpr double furthest_rise = 1000 * psi;  // Pa; nothing that sprinkles stands more

/// A head takes about so many balances, and each about its number of points; beyond so much nobody waits for
/// the rest.
constexpr std::size_t balances_of_head = 20, most_work = 400'000'000;

double least_static(const model::System& system) {
    double least = std::numeric_limits<double>::infinity();
    for (const model::Supply& supply : system.supplies)
        if (supply.static_pressure.value > 0) least = std::min(least, supply.static_pressure.value);
    return least;
}

class Bisection {
  public:
    Bisection(ReviewTrial& trial, const DecidingHead& head, double wanted)
        : trial_(trial), head_(head), wanted_(wanted) {}

    SupplyMargin find(double most_drop) {
        SupplyMargin margin{head_.run, head_.head, 0, false};
        End holds = end_at(0), misses = holds;
        if (holds.holds()) {
            misses = end_at(most_drop);
            if (misses.holds()) {
                margin.drop = most_drop;
                margin.at_least = true;
                return margin;
            }
        } else {
            for (double rise = 4 * psi;; rise *= 2) {
                if (rise > furthest_rise) {
                    margin.drop = std::numeric_limits<double>::quiet_NaN();
                    return margin;
                }
                holds = end_at(-rise);
                if (holds.holds()) break;
                misses = holds;
            }
        }
        for (int step = 0; misses.drop - holds.drop > as_close_as; ++step) {
            const End between = end_at(next(holds, misses, step));
            (between.holds() ? holds : misses) = between;
        }
        margin.drop = holds.drop;  // rounded to the safe side
        return margin;
    }

  private:
    struct End {
        double drop;   // Pa
        double spare;  // Pa above what is wanted; NaN: no water, or no solution
        /// By the size of the closure a head that stands at its limit holds it.
        bool holds() const { return spare >= -0.01; }
    };

    /// Just to one and just to the other side of where the straight line between the ends meets the limit, so
    /// that both ends close in; every third time the middle, so that the way always halves.
    static double next(const End& holds, const End& misses, int step) {
        if (step % 3 == 2 || std::isnan(misses.spare)) return (holds.drop + misses.drop) / 2;
        const double meets =
            holds.drop + (misses.drop - holds.drop) * holds.spare / (holds.spare - misses.spare);
        constexpr double beside = 0.4 * as_close_as;
        return std::clamp(step % 3 == 0 ? meets - beside : meets + beside, holds.drop + beside,
                          misses.drop - beside);
    }

    End end_at(double drop) {
        trial_.move_supplies(-drop);
        const RunResult& result = trial_.balance(head_.run);
        if (result.failure) return {drop, std::numeric_limits<double>::quiet_NaN()};
        return {drop, result.head_pressure[at(head_.head)] - wanted_};
    }

    ReviewTrial& trial_;
    const DecidingHead& head_;
    double wanted_;
};

}  // namespace

MarginReview review_margins(const model::System& system, const model::Layout& layout,
                            const std::vector<DecidingHead>& heads, int threads) {
    if (!model::has_supply_pressure(system)) return {};
    std::vector<DecidingHead> asked;
    for (const DecidingHead& head : heads)
        if (wanted_pressure(system, head.head)) asked.push_back(head);
    const std::size_t affordable =
        most_work / (balances_of_head * std::max<std::size_t>(1, system.points.size()));
    MarginReview margins;
    margins.left_out = asked.size() - std::min(asked.size(), affordable);
    asked.resize(asked.size() - margins.left_out);  // the worst stand first
    margins.rows.resize(asked.size());
    const double most_drop = least_static(system);
    std::vector<std::optional<ReviewTrial>> trials(at(threads));
    in_parallel(at(threads), asked.size(), [&](std::size_t worker, std::size_t i) {
        if (!trials[worker]) trials[worker].emplace(system, layout);
        margins.rows[i] =
            Bisection(*trials[worker], asked[i], *wanted_pressure(system, asked[i].head)).find(most_drop);
    });
    return margins;
}

}  // namespace evenhead::solver
