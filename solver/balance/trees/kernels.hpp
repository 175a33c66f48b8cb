// The laws of many elements at once, in vectors of the machine's width. Arrays go on to a whole number of
// vectors
// (`padded`), with numbers that do no harm.
#pragma once

#include <cstddef>

namespace evenhead::solver {

/// The length of arrays for so many elements.
constexpr std::size_t padded(std::size_t count) {
    constexpr std::size_t widest = 32;  // doubles in a vector of 2048 bits
    return (count + widest - 1) / widest * widest;
}

/// Links with d(q) = r |q|^0.852 q + m |q| q, each with its flow q (padding: 1) and the drop of height D
/// along it. Writes the slope s = d'(q), at least `floor`, and e = s q - d: on the tangent, the drop is s q'
/// - e.
struct LinkArrays {
    std::size_t count;
    const double *r, *m, *flow, *drop;
    double *slope, *e;
};
/// The largest |d(q) - D|, m, of links that lose anything. `floor` may be null: 0.
double linearise_links(const LinkArrays& links, const double* floor);

/// Heads with d(h) = a h^2 over their elevation z, each with its flow h > 0 and the height D over z (padding:
/// all 1). The tangent at h: A H + B at the height H = D + z.
struct HeadArrays {
    std::size_t count;
    const double *a, *z, *D;
    double *flow, *A, *B;
};
/// Writes A and B; the largest |d(h) - D|, m.
double linearise_heads(const HeadArrays& heads);
/// Moves the flows along their tangents to D; the least of them, m3/s.
double heads_on_tangents(const HeadArrays& heads);

}  // namespace evenhead::solver
