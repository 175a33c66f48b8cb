// regulator: where the static pressure before a zone's valve is above a limit, something must hold it: a
// regulator on the way (the pressure is then lower), the valve itself, or every head of the zone.
// regulated-inlet: a body that holds its nozzle to a pressure needs more than that before it, or it holds
// nothing. Both on request only.
#include <algorithm>
#include <limits>

#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

using model::Dimension;

bool holds_itself(const model::System& system, const model::Layout& layout, std::size_t valve) {
    if (system.valves[valve].set) return true;
    const std::vector<Index>& heads = layout.zone_heads[valve];
    return std::all_of(heads.begin(), heads.end(),
                       [&](Index head) { return system.heads[at(head)].set.has_value(); });
}

/// The limit itself, or so much above the lowest design pressure of the zone; empty where that has none.
std::optional<double> most_static(const SystemCase& whole, std::size_t valve) {
    const RuleLimit& limit = whole.basis[RuleId::regulator];
    if (limit.base != model::Limit::Base::design) return limit.value;
    std::optional<double> lowest;
    for (const Index head : whole.layout.zone_heads[valve]) {
        const Index nozzle = whole.system.heads[at(head)].nozzle;
        const auto design =
            nozzle == model::none ? std::nullopt : known(whole.system.nozzles[at(nozzle)].design);
        if (design) lowest = std::min(*design, lowest.value_or(*design));
    }
    return lowest ? std::optional(*lowest + limit.value) : std::nullopt;
}

void judge_regulator(const SystemCase& whole, SystemFindings& found) {
    for (std::size_t v = 0; v < whole.system.valves.size(); ++v) {
        if (holds_itself(whole.system, whole.layout, v)) continue;
        const ElementRef subject{ElementKind::valve, static_cast<Index>(v)};
        if (!whole.all_shut) {
            found.not_checked.push_back(
                {RuleId::regulator, subject, "the balance with every valve shut has no solution"});
            continue;
        }
        const auto most = most_static(whole, v);
        if (!most) {
            found.not_checked.push_back(
                {RuleId::regulator, subject, "no nozzle of the zone gives a design pressure"});
            continue;
        }
        const double pressure = whole.context.all_shut->valve_inlet[v];
        if (std::isnan(pressure)) {
            found.not_checked.push_back(
                {RuleId::regulator, subject, "no supply reaches it with every valve shut"});
            continue;
        }
        if (!judge(found, RuleId::regulator, subject, pressure, *most, true, Dimension::pressure)) continue;
        Finding finding =
            make_finding(RuleId::regulator, subject, pressure, *most, true, Dimension::pressure);
        finding.source = limit_source(whole.basis, RuleId::regulator);
        if (whole.basis[RuleId::regulator].base == model::Limit::Base::design)
            finding.detail = "so much above the lowest design pressure of its heads";
        found.findings.push_back(std::move(finding));
    }
}

void judge_inlet(const RunCase& run, RunFindings& found) {
    const RuleLimit& limit = run.basis[RuleId::regulated_inlet];
    if (limit.off) return;
    for (const Index index : run.running) {
        const model::Head& head = run.system.heads[at(index)];
        if (!head.set || !head.set->known()) continue;
        const double inlet = run.result.point_pressure[at(head.point)];
        const ElementRef subject{ElementKind::head, index};
        const double least = head.set->value + limit.value;
        if (!judge(found, RuleId::regulated_inlet, subject, inlet, least, false, Dimension::pressure))
            continue;
        Finding finding =
            make_finding(RuleId::regulated_inlet, subject, inlet, least, false, Dimension::pressure);
        finding.source = limit_source(run.basis, RuleId::regulated_inlet);
        found.findings.push_back(std::move(finding));
    }
}

}  // namespace

Rule regulator_rule() {
    return {{RuleId::regulator, "regulator", Dimension::pressure, false, false, 0, "common practice", true},
            nullptr,
            judge_regulator};
}

Rule regulated_inlet_rule() {
    return {{RuleId::regulated_inlet, "regulated-inlet", Dimension::pressure, false, false, 0,
             "common practice", true},
            judge_inlet};
}

}  // namespace evenhead::solver
