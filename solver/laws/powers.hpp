// The power of Hazen-Williams for many flows at once, in vectors of the machine's width.
#pragma once

#include <cstddef>

namespace evenhead::solver {

/// |q|^0.852 of each flow (m3/s), to some 1e-15 of it; of 0: some 1e-256.
void powers(std::size_t count, const double* q, double* power);

}  // namespace evenhead::solver
