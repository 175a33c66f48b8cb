// zone-spread: how much the nozzle pressures of a zone differ, as a share of the lowest design pressure among
// its heads, else of their mean. Flow goes with about the square root of pressure, so 20 % of pressure is 10
// % of flow (Jarrett, Water Management, 2nd ed. 2000, pp. 336-337).
#include <algorithm>
#include <limits>

#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

bool constant_draw(const model::System& system, Index head) {
    const Index nozzle = system.heads[at(head)].nozzle;
    if (nozzle == model::none) return false;
    const model::Nozzle& row = system.nozzles[at(nozzle)];
    return row.rows.size() == 1 && row.exponent == 0;
}

struct Spread {
    Index lowest = model::none, highest = model::none;
    double share = std::numeric_limits<double>::quiet_NaN();  // NaN: fewer than two heads, or no base above 0
    bool by_design = false;
    int heads = 0;
};

/// The base that the limit asks for; of a zone without any design pressure always the mean.
Spread spread_of(const RunCase& run, const std::vector<Index>& heads) {
    const std::vector<double>& pressure = run.result.head_pressure;
    Spread spread;
    double sum = 0, design = std::numeric_limits<double>::infinity();
    for (const Index head : heads) {
        const double here = pressure[at(head)];
        if (std::isnan(here) || constant_draw(run.system, head)) continue;
        if (spread.lowest == model::none || here < pressure[at(spread.lowest)]) spread.lowest = head;
        if (spread.highest == model::none || here > pressure[at(spread.highest)]) spread.highest = head;
        sum += here;
        ++spread.heads;
        const Index nozzle = run.system.heads[at(head)].nozzle;
        if (nozzle == model::none) continue;
        if (const auto own = known(run.system.nozzles[at(nozzle)].design)) design = std::min(design, *own);
    }
    if (spread.heads < 2) return spread;
    spread.by_design = design < std::numeric_limits<double>::infinity() &&
                       run.basis[RuleId::zone_spread].base != model::Limit::Base::mean;
    const double base = spread.by_design ? design : sum / spread.heads;
    if (base > 0) spread.share = (pressure[at(spread.highest)] - pressure[at(spread.lowest)]) / base;
    return spread;
}

void judge_run(const RunCase& run, RunFindings& found) {
    const RuleLimit& limit = run.basis[RuleId::zone_spread];
    if (run.result.open.empty()) {
        found.spread = spread_of(run, run.layout.heads_on_mainline).share;  // shown, but no zone to judge
        return;
    }
    for (const Index valve : run.result.open) {
        const Spread spread = spread_of(run, run.layout.zone_heads[at(valve)]);
        const ElementRef subject{ElementKind::valve, valve};
        if (std::isnan(spread.share)) {
            if (spread.heads > 1 && !limit.off)
                found.not_checked.push_back(
                    {RuleId::zone_spread, subject, "the mean pressure is not above zero"});
            continue;
        }
        if (std::isnan(found.spread) || spread.share > found.spread) found.spread = spread.share;
        if (limit.off || !judge(found, RuleId::zone_spread, subject, spread.share, limit.value, true,
                                model::Dimension::share))
            continue;
        Finding finding = make_finding(RuleId::zone_spread, subject, spread.share, limit.value, true,
                                       model::Dimension::share);
        finding.source = limit_source(run.basis, RuleId::zone_spread);
        finding.detail = spread.by_design ? "base: the lowest design pressure" : "base: the mean of the zone";
        finding.also = {{ElementKind::head, spread.highest}, {ElementKind::head, spread.lowest}};
        found.findings.push_back(std::move(finding));
    }
}

}  // namespace

Rule zone_spread_rule() {
    return {
        {RuleId::zone_spread, "zone-spread", model::Dimension::share, false, true, 0.2, "common practice"},
        judge_run};
}

}  // namespace evenhead::solver
