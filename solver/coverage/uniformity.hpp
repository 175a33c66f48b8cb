// How evenly water lies: the two measures of the trade, over pieces of ground or over catch cans.
#pragma once

#include <vector>

namespace evenhead::solver {

/// What lies at one place, and how much of the ground the place stands for (cans: 1 each).
struct Depth {
    double depth = 0;   ///< of any unit, 0 or more
    double weight = 1;  ///< above 0
};

/// Of depths x with weights a and mean m (sums over all): m = sum a x / sum a;
/// du_lq = mean of the lowest quarter of the weight / m, the depth that the quarter ends in counted in part;
/// cu = 1 - sum a |x - m| / sum a x (Christiansen, Irrigation by Sprinkling, California Agr. Exp. Sta.
/// Bulletin 670, 1942). Both are shares, 1 is even; cu falls below 0 where water is very uneven. Not a number
/// without any water.
struct Uniformity {
    double mean, du_lq, cu;
};
Uniformity uniformity(std::vector<Depth> depths);

}  // namespace evenhead::solver
