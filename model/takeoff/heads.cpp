// Heads, their nozzles, and what carries them.
#include <algorithm>
#include <cmath>

#include "model/catalogue/nominal.hpp"
#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model::takeoff {
namespace {

/// Flow at the design pressure (m3/s), straight between the rows; without a design pressure, or beyond the
/// rows, that of the nearest row; NaN where nothing is known.
double design_flow(const Nozzle& nozzle) {
    if (nozzle.rows.empty()) return std::nan("");
    const auto& rows = nozzle.rows;
    if (!nozzle.design || !nozzle.design->known()) return rows.back().value.value;
    const double wanted = nozzle.design->value;
    if (rows.size() == 1) return rows[0].value.value * std::pow(wanted / rows[0].at.value, nozzle.exponent);
    const auto above =
        std::find_if(rows.begin(), rows.end(), [&](const ChartRow& row) { return row.at.value >= wanted; });
    if (above == rows.end()) return rows.back().value.value;
    if (above == rows.begin()) return rows.front().value.value;
    const ChartRow &low = *(above - 1), &high = *above;
    const double way = (wanted - low.at.value) / (high.at.value - low.at.value);
    return low.value.value + way * (high.value.value - low.value.value);
}

}  // namespace

TakeoffSize inlet_of(const Subject& subject, const Head& head) {
    const auto& inlets = subject.rules.inlets;
    const double flow =
        head.nozzle == none ? std::nan("") : design_flow(subject.system.nozzles[at(head.nozzle)]);
    const auto found = std::find_if(inlets.begin(), inlets.end(),
                                    [&](const InletRule& rule) { return !(flow > rule.flow); });
    TakeoffSize size;
    size.nominal = (found == inlets.end() ? inlets.back() : *found).thread;
    if (const auto inches = tables::nominal_inches(size.nominal)) size.diameter = *inches * 0.0254;
    return size;
}

void count_heads(const Subject& subject, Lines& lines) {
    for (const Head& head : subject.system.heads) {
        const TakeoffElement element{false, head.point, 1};
        const TakeoffSize inlet = inlet_of(subject, head);
        Lines::Thing body{
            head.valve == none ? TakeoffItem::head : TakeoffItem::valve_in_head, "", {inlet}, ""};
        if (head.set && head.set->known()) body.amount = head.set->value;
        lines.add(body, element);
        const std::string nozzle = head.nozzle == none ? "?" : subject.system.nozzles[at(head.nozzle)].id;
        lines.add({TakeoffItem::nozzle, "", {}, nozzle}, element);
        const bool joint = head.joint.kind != LossKind::lossless;
        lines.add({joint ? TakeoffItem::swing_joint : TakeoffItem::riser, "", {inlet}, ""}, element);
    }
}

}  // namespace evenhead::model::takeoff
