#include "solver/laws/powers.hpp"

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "solver/laws/powers.cpp"
#include <hwy/foreach_target.h>

#include <hwy/highway.h>

#include <hwy/contrib/math/math-inl.h>

HWY_BEFORE_NAMESPACE();
namespace evenhead::solver::HWY_NAMESPACE {

namespace hn = hwy::HWY_NAMESPACE;

template <class Tag>
HWY_INLINE void PowersAt(Tag tag, const double* q, double* power) {
    const auto size = hn::Max(hn::Abs(hn::LoadU(tag, q)), hn::Set(tag, 1e-300));  // its logarithm is a number
    hn::StoreU(hn::Exp(tag, hn::Mul(hn::Set(tag, 0.852), hn::Log(tag, size))), tag, power);
}

void Powers(std::size_t count, const double* q, double* power) {
    const hn::ScalableTag<double> wide;
    const hn::CappedTag<double, 1> single;
    std::size_t i = 0;
    for (; i + hn::Lanes(wide) <= count; i += hn::Lanes(wide)) PowersAt(wide, q + i, power + i);
    for (; i < count; ++i) PowersAt(single, q + i, power + i);
}

}  // namespace evenhead::solver::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace evenhead::solver {

HWY_EXPORT(Powers);

void powers(std::size_t count, const double* q, double* power) {
    HWY_DYNAMIC_DISPATCH(Powers)(count, q, power);
}

}  // namespace evenhead::solver
#endif
