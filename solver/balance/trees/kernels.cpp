#include "solver/balance/trees/kernels.hpp"

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "solver/balance/trees/kernels.cpp"
#include <hwy/foreach_target.h>

#include <hwy/highway.h>

#include <hwy/contrib/math/math-inl.h>

HWY_BEFORE_NAMESPACE();
namespace evenhead::solver {
namespace HWY_NAMESPACE {

namespace hn = hwy::HWY_NAMESPACE;
using Tag = hn::ScalableTag<double>;
using Vector = hn::Vec<Tag>;

double LineariseLinks(const LinkArrays& links, const double* floor) {
    const Tag tag;
    Vector worst = hn::Zero(tag);
    for (std::size_t i = 0; i < links.count; i += hn::Lanes(tag)) {
        const Vector q = hn::LoadU(tag, links.flow + i), size = hn::Abs(q);
        const Vector least = hn::Set(tag, 1e-300);  // its power is nothing, its logarithm a number
        const Vector power = hn::Exp(tag, hn::Mul(hn::Set(tag, 0.852), hn::Log(tag, hn::Max(size, least))));
        const Vector pipe = hn::Mul(hn::LoadU(tag, links.r + i), power);
        const Vector minor = hn::Mul(hn::LoadU(tag, links.m + i), size);
        const Vector loss = hn::Mul(hn::Add(pipe, minor), q);
        Vector slope = hn::MulAdd(hn::Set(tag, 1.852), pipe, hn::Add(minor, minor));
        const Vector off = hn::Abs(hn::Sub(loss, hn::LoadU(tag, links.drop + i)));
        worst = hn::Max(worst, hn::IfThenElseZero(hn::Gt(slope, hn::Zero(tag)), off));
        if (floor != nullptr) slope = hn::Max(slope, hn::LoadU(tag, floor + i));
        hn::StoreU(slope, tag, links.slope + i);
        hn::StoreU(hn::Sub(hn::Mul(slope, q), loss), tag, links.e + i);
    }
    return hn::GetLane(hn::MaxOfLanes(tag, worst));
}

double LineariseHeads(const HeadArrays& heads) {
    const Tag tag;
    const Vector half = hn::Set(tag, 0.5);
    Vector worst = hn::Zero(tag);
    for (std::size_t i = 0; i < heads.count; i += hn::Lanes(tag)) {
        const Vector h = hn::LoadU(tag, heads.flow + i), ah = hn::Mul(hn::LoadU(tag, heads.a + i), h);
        const Vector A = hn::Div(half, ah);
        worst = hn::Max(worst, hn::Abs(hn::Sub(hn::Mul(ah, h), hn::LoadU(tag, heads.D + i))));
        hn::StoreU(A, tag, heads.A + i);
        hn::StoreU(hn::Sub(hn::Mul(half, h), hn::Mul(A, hn::LoadU(tag, heads.z + i))), tag, heads.B + i);
    }
    return hn::GetLane(hn::MaxOfLanes(tag, worst));
}

double HeadsOnTangents(const HeadArrays& heads) {
    const Tag tag;
    Vector least = hn::Set(tag, 1e300);
    for (std::size_t i = 0; i < heads.count; i += hn::Lanes(tag)) {
        const Vector before = hn::Mul(hn::Set(tag, 0.5), hn::LoadU(tag, heads.flow + i));
        const Vector h = hn::MulAdd(hn::LoadU(tag, heads.A + i), hn::LoadU(tag, heads.D + i), before);
        least = hn::Min(least, h);
        hn::StoreU(h, tag, heads.flow + i);
    }
    return hn::GetLane(hn::MinOfLanes(tag, least));
}

}  // namespace HWY_NAMESPACE
}  // namespace evenhead::solver
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace evenhead::solver {

HWY_EXPORT(LineariseLinks);
HWY_EXPORT(LineariseHeads);
HWY_EXPORT(HeadsOnTangents);

double linearise_links(const LinkArrays& links, const double* floor) {
    return HWY_DYNAMIC_DISPATCH(LineariseLinks)(links, floor);
}
double linearise_heads(const HeadArrays& heads) {
    return HWY_DYNAMIC_DISPATCH(LineariseHeads)(heads);
}
double heads_on_tangents(const HeadArrays& heads) {
    return HWY_DYNAMIC_DISPATCH(HeadsOnTangents)(heads);
}

}  // namespace evenhead::solver
#endif
