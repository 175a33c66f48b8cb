// Random numbers that are found by their place, not by what was drawn before: the same for a sample and an
// input whichever thread draws them, and in whatever order.
#pragma once

#include <array>
#include <cstdint>

namespace evenhead::solver {

/// Philox 4x32-10: four words for a counter and a key. J. Salmon, M. Moraes, R. Dror and D. Shaw, "Parallel
/// random numbers: as easy as 1, 2, 3", SC11 (2011).
std::array<std::uint32_t, 4> philox(std::array<std::uint32_t, 4> counter, std::array<std::uint32_t, 2> key);

/// Evenly between 0 and 1, neither of them.
double even_draw(std::uint64_t seed, std::uint64_t sample, std::uint32_t input);

/// Normal with mean 0 and standard deviation 1 before it is cut: nothing beyond 3 to either side.
double normal_draw(std::uint64_t seed, std::uint64_t sample, std::uint32_t input);

/// The standard deviation of normal_draw: cut at 3, sqrt(1 - 6 phi(3) / (2 Phi(3) - 1)).
inline constexpr double cut_deviation = 0.9865783925581086;

/// Share of a normal distribution below z standard deviations.
double normal_share(double z);

}  // namespace evenhead::solver
