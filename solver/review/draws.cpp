#include "solver/review/draws.hpp"

#include <boost/math/special_functions/erf.hpp>

#include <cmath>
#include <numbers>

namespace evenhead::solver {

std::array<std::uint32_t, 4> philox(std::array<std::uint32_t, 4> counter, std::array<std::uint32_t, 2> key) {
    constexpr std::uint64_t m0 = 0xD2511F53, m1 = 0xCD9E8D57;
    constexpr std::uint32_t w0 = 0x9E3779B9, w1 = 0xBB67AE85;
    for (int round = 0; round < 10; ++round) {
        const std::uint64_t p0 = m0 * counter[0], p1 = m1 * counter[2];
        counter = {static_cast<std::uint32_t>(p1 >> 32) ^ counter[1] ^ key[0], static_cast<std::uint32_t>(p1),
                   static_cast<std::uint32_t>(p0 >> 32) ^ counter[3] ^ key[1],
                   static_cast<std::uint32_t>(p0)};
        key[0] += w0;
        key[1] += w1;
    }
    return counter;
}

double even_draw(std::uint64_t seed, std::uint64_t sample, std::uint32_t input) {
    const auto words =
        philox({static_cast<std::uint32_t>(sample), static_cast<std::uint32_t>(sample >> 32), input, 0},
               {static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32)});
    const std::uint64_t bits = (static_cast<std::uint64_t>(words[0]) << 32 | words[1]) >> 11;
    return (static_cast<double>(bits) + 0.5) * 0x1p-53;
}

double normal_draw(std::uint64_t seed, std::uint64_t sample, std::uint32_t input) {
    // The middle 99.73 % of the distribution, through its inverse: 2 Phi(z) - 1 = erf(z / sqrt 2).
    using Policy = boost::math::policies::policy<boost::math::policies::promote_double<false>>;
    static const double whole = std::erf(3 / std::numbers::sqrt2);
    const double share = (2 * even_draw(seed, sample, input) - 1) * whole;
    return std::numbers::sqrt2 * boost::math::erf_inv(share, Policy());
}

double normal_share(double z) {
    return std::erfc(-z / std::numbers::sqrt2) / 2;
}

}  // namespace evenhead::solver
