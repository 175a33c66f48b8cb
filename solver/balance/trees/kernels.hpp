// The laws of many elements at once, in vectors of the machine's width. Arrays go on to a whole number of
// vectors (`padded`), with numbers that do no harm.
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

/// Heads at their elevation z, each with its flow h > 0 and the height D over z (padding: all 1, and z 0).
/// The tangent of their law at h: A H + B at the height H = D + z.
struct HeadArrays {
    std::size_t count;
    const double *z, *D;
    double *flow, *A, *B;
};
/// Orifices: d(h) = a h^2. Writes A and B; the largest |d(h) - D|, m.
double linearise_orifices(const HeadArrays& heads, const double* a);
/// Stretches of a nozzle's chart, and a joint: d(h) = exp(n log h + c) + m h^2. Likewise.
double linearise_stretches(const HeadArrays& heads, const double* n, const double* c, const double* m);
/// Puts the flows of orifices on their laws at D, where that is above 0.
void settle_orifices(const HeadArrays& heads, const double* a);
/// Takes the flows of stretches a Newton step nearer to their laws at D.
void settle_stretches(const HeadArrays& heads, const double* n, const double* c, const double* m);
/// Moves the flows along their tangents to D, but down to a fifth at most; the least of what they moved
/// beyond that, m3/s: below 0 where one was held back.
double move_along_tangents(const HeadArrays& heads);

}  // namespace evenhead::solver
