// A monotone piecewise cubic through rising rows.
#pragma once

#include <vector>

namespace evenhead::solver {

/// Through (x, y), x rising and y never falling: never falls, never overshoots. Inner slopes: weighted
/// harmonic mean (Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304); end slopes: one-sided
/// three-point formula, 0 where its sign is wrong. Two rows give the straight line. Outside the rows it is
/// not defined.
class MonotoneCubic {
  public:
    MonotoneCubic() = default;
    MonotoneCubic(std::vector<double> x, std::vector<double> y);

    double value(double at) const;
    double slope(double at) const;
    double front_x() const { return x_.front(); }
    double back_x() const { return x_.back(); }
    double front_y() const { return y_.front(); }
    double back_y() const { return y_.back(); }
    double first_secant() const { return (y_[1] - y_[0]) / (x_[1] - x_[0]); }
    double last_secant() const;

  private:
    std::size_t piece(double at) const;
    std::vector<double> x_, y_, slope_;
};

}  // namespace evenhead::solver
