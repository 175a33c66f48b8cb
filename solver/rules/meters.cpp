// meter-flow: whatever states a safe flow passes no more than 75 % of it. meter-loss: a meter takes no more
// than 10 % of the static pressure at its inlet.
#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

void judge_flow(const RunCase& run, RunFindings& found) {
    const RuleLimit& limit = run.basis[RuleId::meter_flow];
    if (limit.off) return;
    for (std::size_t d = 0; d < run.system.devices.size(); ++d) {
        const auto safe = known(run.system.devices[d].safe_flow);
        if (!safe) continue;
        const double flow = std::abs(run.result.device_flow[d]), most = limit.value * *safe;
        const ElementRef subject{ElementKind::device, static_cast<Index>(d)};
        if (!judge(found, RuleId::meter_flow, subject, flow, most, true, model::Dimension::flow)) continue;
        Finding finding = make_finding(RuleId::meter_flow, subject, flow, most, true, model::Dimension::flow);
        finding.source = limit_source(run.basis, RuleId::meter_flow);
        finding.detail = "a share of its safe flow";
        found.findings.push_back(std::move(finding));
    }
}

void judge_flow_of_system(const SystemCase& whole, SystemFindings& found) {
    for (std::size_t d = 0; d < whole.system.devices.size(); ++d) {
        const model::OptionalQuantity& safe = whole.system.devices[d].safe_flow;
        if (safe && !safe->known())
            found.not_checked.push_back({RuleId::meter_flow,
                                         {ElementKind::device, static_cast<Index>(d)},
                                         "its safe flow is not known"});
    }
}

bool is_meter(const model::Device& device) {
    return device.type == model::DeviceType::meter;
}

void judge_loss(const RunCase& run, RunFindings& found) {
    const RuleLimit& limit = run.basis[RuleId::meter_loss];
    if (limit.off || !balanced(run.context.all_shut)) return;
    for (std::size_t d = 0; d < run.system.devices.size(); ++d) {
        if (!is_meter(run.system.devices[d])) continue;
        // NaN where no supply reaches it: then nothing is outside.
        const double loss = std::abs(run.result.device_inlet[d] - run.result.device_outlet[d]);
        const double most = limit.value * run.context.all_shut->device_inlet[d];
        const ElementRef subject{ElementKind::device, static_cast<Index>(d)};
        if (!judge(found, RuleId::meter_loss, subject, loss, most, true, model::Dimension::pressure))
            continue;
        Finding finding =
            make_finding(RuleId::meter_loss, subject, loss, most, true, model::Dimension::pressure);
        finding.source = limit_source(run.basis, RuleId::meter_loss);
        finding.detail = "a share of the static pressure at its inlet";
        found.findings.push_back(std::move(finding));
    }
}

void judge_loss_of_system(const SystemCase& whole, SystemFindings& found) {
    for (std::size_t d = 0; d < whole.system.devices.size(); ++d) {
        if (!is_meter(whole.system.devices[d])) continue;
        const ElementRef subject{ElementKind::device, static_cast<Index>(d)};
        if (!whole.all_shut)
            found.not_checked.push_back(
                {RuleId::meter_loss, subject, "the balance with every valve shut has no solution"});
        else if (std::isnan(whole.context.all_shut->device_inlet[d]))
            found.not_checked.push_back(
                {RuleId::meter_loss, subject, "no supply reaches it with every valve shut"});
    }
}

}  // namespace

Rule meter_flow_rule() {
    return {{RuleId::meter_flow, "meter-flow", model::Dimension::share, false, true, 0.75, "common practice"},
            judge_flow,
            judge_flow_of_system};
}

Rule meter_loss_rule() {
    return {{RuleId::meter_loss, "meter-loss", model::Dimension::share, false, true, 0.1, "common practice"},
            judge_loss,
            judge_loss_of_system};
}

}  // namespace evenhead::solver
