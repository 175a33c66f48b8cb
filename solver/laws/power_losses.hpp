// Power laws of many elements at once, in vectors of the machine's width.
#pragma once

#include <cstddef>

namespace evenhead::solver {

/// r |q|^0.852 q + m |q| q by element, m: as PowerLaw::loss to some 1e-15 of it.
void power_losses(std::size_t count, const double* r, const double* m, const double* q, double* loss);

}  // namespace evenhead::solver
