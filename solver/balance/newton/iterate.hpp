// Where a Newton iteration stands: heights at the points, and each chain's chord.
#pragma once

#include <vector>

#include "model/position.hpp"
#include "solver/balance/newton/reduction.hpp"
#include "solver/balance/state.hpp"

namespace evenhead::solver {

inline constexpr double leak =
    1e-17;  ///< m2/s: conductance of an upright part, so that the matrix stays definite
inline constexpr double enough = 1e-7;  ///< m: mismatch to stop at where rounding forbids more

inline constexpr double blur = 1e-10;  ///< m: what counts as the same height

/// Letters: see newton.cpp. Vectors by chain, but for `height` and `change` by branch point.
struct Iterate {
    /// At rest. `total_flow` (m3/s) is the scale below which flows count as small.
    Iterate(const Reduction& of, double total_flow, double level);

    const Reduction& reduction;
    const double small_flow, level_slope;
    std::vector<double> height;     ///< H, m
    std::vector<double> change;     ///< dH of the whole step, m
    std::vector<double> flow;       ///< q', the chord's after the whole step, m3/s
    std::vector<double> last_flow;  ///< q' of the step before
    std::vector<double> at_flow;    ///< q(D), m3/s
    std::vector<double> at_height;  ///< D, m
    std::vector<double> slope;      ///< s, s/m2
    std::vector<signed char> kept;  ///< at the lower (-1) or upper (1) end of the domain; 0: free
    std::vector<int> faded;         ///< how often in a row the flow faded towards an upright part
    double largest_height = 0;      ///< of |D|

    /// Goes back to where another iterate of the same reduction stands.
    void take(const Iterate& other);

    std::size_t chains() const { return flow.size(); }
    std::size_t points() const { return height.size(); }
    /// Between two fixed heights, or back to its own point: its height is given.
    bool alone(std::size_t chain) const { return reduction.chains[chain].from == reduction.chains[chain].to; }

    /// D by the present heights.
    double height_along(std::size_t chain) const;
    /// dD that comes of a change of heights.
    double change_along(std::size_t chain, const std::vector<double>& of_heights) const;
    double change_along(std::size_t chain) const { return change_along(chain, change); }
    /// The chord's flow after the whole step.
    double predicted(std::size_t chain) const { return at_flow[chain] + change_along(chain) / slope[chain]; }

    double bounded(double s) const;
    /// What rounding leaves of nothing is nothing: still water is found by flows of exactly 0.
    double without_rounding(double q) const;
};

/// The largest mismatch of any chain (m), and where.
struct Mismatch {
    double height = 0;
    int chain = -1;
};

/// Puts each chain's chord at the present heights. Its mismatch is the smaller of the height and the flow (as
/// height, by the slope) between the chord's flow of the last step and the curve.
Mismatch place_chords(Iterate& iterate);

/// How far a height (m) lies off the losses that belong to q.
double off_curve(const Series& law, double q, double D);

/// How much of the step to take: until the derivative of the co-content of these chains along it has fallen
/// to a share of its first value.
double step_length(const Iterate& iterate, const std::vector<int>& chains);

}  // namespace evenhead::solver
