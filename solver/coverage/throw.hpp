// How the water of one head falls on the ground, in still air.
//
// With R the throw, u = r / R the part of it, g(u) the nozzle's relative rate (a wedge, g = 1 - u, where the
// case gives no shape), Q the head's flow and a its arc in radians, the rate at distance r is
//   d(r) = c g(r / R),  r <= R, within the arc; 0 elsewhere.
// All of Q lands: a times the integral of d(r) r dr is Q, so that
//   c = Q / (a R^2 M),  M = integral of g(u) u du from 0 to 1  (wedge: 1/6).
// g is straight between its rows, as its first row inside of it, and 0 outside of its last.
#pragma once

#include <array>
#include <vector>

namespace evenhead::solver {

/// What a throw is made of.
struct ThrowNumbers {
    double x = 0, y = 0;  ///< m, east and north
    double radius = 0;    ///< m, above 0
    double flow = 0;      ///< m3/s, 0 or more
    double arc = 360;     ///< degrees, above 0
    double facing = 0;    ///< degrees clockwise from north, the middle of the arc; of no use at 360
};

class Throw {
  public:
    /// `shape`: rows of fraction of the radius (rising, 0 to 1) and relative rate; empty: a wedge. It has to
    /// water some ground: waters(shape).
    Throw(const ThrowNumbers& numbers, const std::vector<std::array<double, 2>>& shape);
    /// False where a shape drops all its water in a point.
    static bool waters(const std::vector<std::array<double, 2>>& shape);

    /// m/s at a place.
    double rate(double x, double y) const;
    const ThrowNumbers& numbers() const { return numbers_; }
    double wetted_area() const;  ///< m2, of the whole arc
    /// m/s: the head's own flow over its own arc.
    double own_rate() const { return numbers_.flow / wetted_area(); }

    /// The edges of the arc as directions from the head: where it begins and ends, clockwise.
    const std::array<double, 2>& begins() const { return begins_; }
    const std::array<double, 2>& ends() const { return ends_; }
    bool full_circle() const { return numbers_.arc >= 360; }
    bool in_arc(double x, double y) const;
    /// m, the distance where the water ends all at once; 0: it falls to nothing.
    double sudden_end() const;

  private:
    double relative(double u) const;  // g

    ThrowNumbers numbers_;
    std::vector<std::array<double, 2>> shape_;  // from u = 0 on
    double scale_ = 0;                          // c, m/s
    std::array<double, 2> begins_{}, ends_{};
};

}  // namespace evenhead::solver
