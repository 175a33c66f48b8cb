#include "solver/balance/trees/kernels.hpp"

#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "solver/balance/trees/kernels.cpp"
#include <hwy/foreach_target.h>

#include <hwy/highway.h>

#include <hwy/contrib/math/math-inl.h>

HWY_BEFORE_NAMESPACE();
namespace evenhead::solver::HWY_NAMESPACE {

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

double LineariseOrifices(const HeadArrays& heads, const double* a) {
    const Tag tag;
    const Vector half = hn::Set(tag, 0.5);
    Vector worst = hn::Zero(tag);
    for (std::size_t i = 0; i < heads.count; i += hn::Lanes(tag)) {
        const Vector h = hn::LoadU(tag, heads.flow + i), ah = hn::Mul(hn::LoadU(tag, a + i), h);
        const Vector A = hn::Div(half, ah);
        worst = hn::Max(worst, hn::Abs(hn::Sub(hn::Mul(ah, h), hn::LoadU(tag, heads.D + i))));
        hn::StoreU(A, tag, heads.A + i);
        hn::StoreU(hn::Sub(hn::Mul(half, h), hn::Mul(A, hn::LoadU(tag, heads.z + i))), tag, heads.B + i);
    }
    return hn::GetLane(hn::MaxOfLanes(tag, worst));
}

double LineariseStretches(const HeadArrays& heads, const double* n, const double* c, const double* m) {
    const Tag tag;
    Vector worst = hn::Zero(tag);
    for (std::size_t i = 0; i < heads.count; i += hn::Lanes(tag)) {
        const Vector h = hn::LoadU(tag, heads.flow + i), power = hn::LoadU(tag, n + i);
        const Vector nozzle = hn::Exp(tag, hn::MulAdd(power, hn::Log(tag, h), hn::LoadU(tag, c + i)));
        const Vector mh = hn::Mul(hn::LoadU(tag, m + i), h);
        const Vector loss = hn::MulAdd(mh, h, nozzle);
        const Vector slope = hn::Add(hn::Div(hn::Mul(power, nozzle), h), hn::Add(mh, mh));
        const Vector A = hn::Div(hn::Set(tag, 1.0), slope);
        worst = hn::Max(worst, hn::Abs(hn::Sub(loss, hn::LoadU(tag, heads.D + i))));
        hn::StoreU(A, tag, heads.A + i);
        hn::StoreU(hn::Sub(h, hn::Mul(A, hn::Add(loss, hn::LoadU(tag, heads.z + i)))), tag, heads.B + i);
    }
    return hn::GetLane(hn::MaxOfLanes(tag, worst));
}

void SettleOrifices(const HeadArrays& heads, const double* a) {
    const Tag tag;
    for (std::size_t i = 0; i < heads.count; i += hn::Lanes(tag)) {
        const Vector D = hn::LoadU(tag, heads.D + i), h = hn::LoadU(tag, heads.flow + i);
        const Vector settled = hn::Sqrt(hn::Div(D, hn::LoadU(tag, a + i)));
        hn::StoreU(hn::IfThenElse(hn::Gt(D, hn::Zero(tag)), settled, h), tag, heads.flow + i);
    }
}

void SettleStretches(const HeadArrays& heads, const double* n, const double* c, const double* m) {
    const Tag tag;
    for (std::size_t i = 0; i < heads.count; i += hn::Lanes(tag)) {
        const Vector h = hn::LoadU(tag, heads.flow + i), power = hn::LoadU(tag, n + i);
        const Vector nozzle = hn::Exp(tag, hn::MulAdd(power, hn::Log(tag, h), hn::LoadU(tag, c + i)));
        const Vector mh = hn::Mul(hn::LoadU(tag, m + i), h);
        const Vector slope = hn::Add(hn::Div(hn::Mul(power, nozzle), h), hn::Add(mh, mh));
        const Vector off = hn::Sub(hn::LoadU(tag, heads.D + i), hn::MulAdd(mh, h, nozzle));
        const Vector settled = hn::Add(h, hn::Div(off, slope));
        hn::StoreU(hn::Max(settled, hn::Mul(hn::Set(tag, 0.2), h)), tag, heads.flow + i);
    }
}

double MoveAlongTangents(const HeadArrays& heads) {
    const Tag tag;
    Vector least = hn::Set(tag, 1e300);
    for (std::size_t i = 0; i < heads.count; i += hn::Lanes(tag)) {
        const Vector H = hn::Add(hn::LoadU(tag, heads.D + i), hn::LoadU(tag, heads.z + i));
        const Vector h = hn::MulAdd(hn::LoadU(tag, heads.A + i), H, hn::LoadU(tag, heads.B + i));
        const Vector fifth = hn::Mul(hn::Set(tag, 0.2), hn::LoadU(tag, heads.flow + i));
        least = hn::Min(least, hn::Sub(h, fifth));
        hn::StoreU(hn::Max(h, fifth), tag, heads.flow + i);
    }
    return hn::GetLane(hn::MinOfLanes(tag, least));
}

}  // namespace evenhead::solver::HWY_NAMESPACE
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace evenhead::solver {

HWY_EXPORT(LineariseLinks);
HWY_EXPORT(LineariseOrifices);
HWY_EXPORT(LineariseStretches);
HWY_EXPORT(SettleOrifices);
HWY_EXPORT(SettleStretches);
HWY_EXPORT(MoveAlongTangents);

double linearise_links(const LinkArrays& links, const double* floor) {
    return HWY_DYNAMIC_DISPATCH(LineariseLinks)(links, floor);
}
double linearise_orifices(const HeadArrays& heads, const double* a) {
    return HWY_DYNAMIC_DISPATCH(LineariseOrifices)(heads, a);
}
double linearise_stretches(const HeadArrays& heads, const double* n, const double* c, const double* m) {
    return HWY_DYNAMIC_DISPATCH(LineariseStretches)(heads, n, c, m);
}
void settle_orifices(const HeadArrays& heads, const double* a) {
    HWY_DYNAMIC_DISPATCH(SettleOrifices)(heads, a);
}
void settle_stretches(const HeadArrays& heads, const double* n, const double* c, const double* m) {
    HWY_DYNAMIC_DISPATCH(SettleStretches)(heads, n, c, m);
}
double move_along_tangents(const HeadArrays& heads) {
    return HWY_DYNAMIC_DISPATCH(MoveAlongTangents)(heads);
}

}  // namespace evenhead::solver
#endif
