#include "solver/laws/power_losses.hpp"

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "solver/laws/power_losses.cpp"
#include <hwy/foreach_target.h>

#include <hwy/highway.h>

#include <hwy/contrib/math/math-inl.h>

HWY_BEFORE_NAMESPACE();
namespace evenhead::solver {
namespace HWY_NAMESPACE {

namespace hn = hwy::HWY_NAMESPACE;

template <class Tag>
HWY_INLINE void LossesAt(Tag tag, std::size_t i, const double* r, const double* m, const double* q,
                         double* loss) {
    const auto flow = hn::LoadU(tag, q + i), size = hn::Abs(flow);
    const auto some = hn::Max(size, hn::Set(tag, 1e-300));  // its logarithm is a number
    const auto power = hn::Exp(tag, hn::Mul(hn::Set(tag, 0.852), hn::Log(tag, some)));
    const auto terms = hn::Add(hn::Mul(hn::LoadU(tag, r + i), power), hn::Mul(hn::LoadU(tag, m + i), size));
    hn::StoreU(hn::Mul(terms, flow), tag, loss + i);
}

void PowerLosses(std::size_t count, const double* r, const double* m, const double* q, double* loss) {
    const hn::ScalableTag<double> wide;
    const hn::CappedTag<double, 1> single;
    std::size_t i = 0;
    for (; i + hn::Lanes(wide) <= count; i += hn::Lanes(wide)) LossesAt(wide, i, r, m, q, loss);
    for (; i < count; ++i) LossesAt(single, i, r, m, q, loss);
}

}  // namespace HWY_NAMESPACE
}  // namespace evenhead::solver
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace evenhead::solver {

HWY_EXPORT(PowerLosses);

void power_losses(std::size_t count, const double* r, const double* m, const double* q, double* loss) {
    HWY_DYNAMIC_DISPATCH(PowerLosses)(count, r, m, q, loss);
}

}  // namespace evenhead::solver
#endif
