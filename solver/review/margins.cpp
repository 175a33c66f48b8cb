// Margins: the drop d of every supply's static and residual pressures at which a head just misses its lower
// limit. By bisection on d, since a head's pressure never rises when its supplies fall: d is between where it
// holds and where it does not, 0.01 psi apart.
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

double least_static(const model::System& system) {
    double least = std::numeric_limits<double>::infinity();
    for (const model::Supply& supply : system.supplies)
        if (supply.static_pressure.value > 0) least = std::min(least, supply.static_pressure.value);
    return least;
}

class Bisection {
  public:
    Bisection(Trial& trial, const DecidingHead& head, double wanted)
        : trial_(trial), head_(head), wanted_(wanted) {}

    SupplyMargin find(double most_drop) {
        SupplyMargin margin{head_.run, head_.head, 0, false};
        double holds = 0, misses = 0;  // drops
        if (holds_at(0)) {
            misses = most_drop;
            if (holds_at(most_drop)) {
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
                holds = -rise;
                if (holds_at(holds)) break;
                misses = holds;
            }
        }
        while (misses - holds > as_close_as) {
            const double middle = (holds + misses) / 2;
            (holds_at(middle) ? holds : misses) = middle;
        }
        margin.drop = holds;  // rounded to the safe side
        return margin;
    }

  private:
    bool holds_at(double drop) {
        trial_.move_supplies(-drop);
        const RunResult& result = trial_.balance(head_.run);
        // By the size of the closure a head that stands at its limit holds it.
        return !result.failure && result.head_pressure[at(head_.head)] >= wanted_ - 0.01;
    }

    Trial& trial_;
    const DecidingHead& head_;
    double wanted_;
};

}  // namespace

std::vector<SupplyMargin> review_margins(const model::System& system, const model::Layout& layout,
                                         const std::vector<DecidingHead>& heads, int threads) {
    if (!model::has_supply_pressure(system)) return {};
    std::vector<DecidingHead> asked;
    for (const DecidingHead& head : heads)
        if (wanted_pressure(system, head.head)) asked.push_back(head);
    std::vector<SupplyMargin> margins(asked.size());
    const double most_drop = least_static(system);
    std::vector<std::optional<Trial>> trials(at(threads));
    in_parallel(at(threads), asked.size(), [&](std::size_t worker, std::size_t i) {
        if (!trials[worker]) trials[worker].emplace(system, layout);
        margins[i] =
            Bisection(*trials[worker], asked[i], *wanted_pressure(system, asked[i].head)).find(most_drop);
    });
    return margins;
}

}  // namespace evenhead::solver
