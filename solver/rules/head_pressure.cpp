// head-pressure: every running head between the pressures that its nozzle needs; and the critical head.
#include <limits>

#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

constexpr double least_share = 0.8, most_share = 1.2;  // of design, where the nozzle gives no min or max

/// A pressure and where it comes from; no pressure: that side is not checked.
struct Side {
    std::optional<double> pressure;  // Pa
    std::string_view source;
};

/// What limits.head-pressure sets: a share of design to either side of it that replaces min..max.
struct GivenShare {
    std::optional<double> share;
    std::string_view source;
};

Side lower_side(const model::System& system, Index index, const GivenShare& given) {
    const model::Head& head = system.heads[at(index)];
    if (const auto wanted = known(head.at_least)) return {wanted, "head's at_least"};
    if (head.nozzle == model::none) return {};
    const model::Nozzle& nozzle = system.nozzles[at(head.nozzle)];
    const auto design = known(nozzle.design);
    if (given.share && design) return {*design * (1 - *given.share), given.source};
    if (const auto least = known(nozzle.min)) return {least, "nozzle's min"};
    if (design) return {*design * least_share, "0.8 x nozzle's design"};
    return {};
}

Side upper_side(const model::System& system, Index index, const GivenShare& given) {
    const model::Head& head = system.heads[at(index)];
    if (head.nozzle == model::none) return {};
    const model::Nozzle& nozzle = system.nozzles[at(head.nozzle)];
    const auto design = known(nozzle.design);
    if (given.share && design) return {*design * (1 + *given.share), given.source};
    if (const auto most = known(nozzle.max)) return {most, "nozzle's max"};
    if (design) return {*design * most_share, "1.2 x nozzle's design"};
    return {};
}

constexpr std::string_view own_key = "limits.head-pressure";

GivenShare share_of(const RuleBasis& basis) {
    const RuleLimit& limit = basis[RuleId::head_pressure];
    if (!limit.given) return {};
    return {limit.value, limit.source.empty() ? own_key : std::string_view(limit.source)};
}

GivenShare given_share(const model::System& system) {
    const auto limit = system.limits.find("head-pressure");
    return {limit == system.limits.end() ? std::nullopt : known(limit->second.value), own_key};
}

/// Heads that want no pressure come after all that do; among them the one of least pressure.
void note_critical(Index head, double pressure, const std::optional<double>& wanted, double& least_pressure,
                   RunFindings& found) {
    if (wanted) {
        if (std::isnan(found.critical_margin) || pressure - *wanted < found.critical_margin) {
            found.critical_margin = pressure - *wanted;
            found.critical_head = head;
        }
    } else if (std::isnan(found.critical_margin) && pressure < least_pressure) {
        least_pressure = pressure;
        found.critical_head = head;
    }
}

void note_extremes(Index head, const RunResult& result, RunFindings& found) {
    const double pressure = result.head_pressure[at(head)];
    if (found.lowest_head == model::none ||
        clearly_above(result.head_pressure[at(found.lowest_head)], pressure))
        found.lowest_head = head;
    if (found.highest_head == model::none ||
        clearly_above(pressure, result.head_pressure[at(found.highest_head)]))
        found.highest_head = head;
}

void judge_run(const RunCase& run, RunFindings& found) {
    const bool off = run.basis[RuleId::head_pressure].off;
    const auto share = share_of(run.basis);
    double least_pressure = std::numeric_limits<double>::infinity();
    for (const Index head : run.running) {
        const double pressure = run.result.head_pressure[at(head)];
        const ElementRef subject{ElementKind::head, head};
        if (std::isnan(pressure)) {
            if (!off)
                found.not_checked.push_back(
                    {RuleId::head_pressure, subject, "no supply reaches it in this run"});
            continue;
        }
        const Side lower = lower_side(run.system, head, share);
        note_critical(head, pressure, lower.pressure, least_pressure, found);
        note_extremes(head, run.result, found);
        if (off) continue;
        const auto judge_side = [&](const Side& side, bool upper) {
            if (!side.pressure || !judge(found, RuleId::head_pressure, subject, pressure, *side.pressure,
                                         upper, model::Dimension::pressure))
                return;
            Finding finding = make_finding(RuleId::head_pressure, subject, pressure, *side.pressure, upper,
                                           model::Dimension::pressure);
            finding.source = side.source;
            found.findings.push_back(std::move(finding));
        };
        judge_side(lower, false);
        judge_side(upper_side(run.system, head, share), true);
    }
}

void judge_system(const SystemCase& whole, SystemFindings& found) {
    const auto share = share_of(whole.basis);
    for (std::size_t h = 0; h < whole.system.heads.size(); ++h) {
        const auto head = static_cast<Index>(h);
        if (!lower_side(whole.system, head, share).pressure &&
            !upper_side(whole.system, head, share).pressure)
            found.not_checked.push_back(
                {RuleId::head_pressure, {ElementKind::head, head}, "its nozzle gives no min, design or max"});
    }
}

}  // namespace

Rule head_pressure_rule() {
    return {{RuleId::head_pressure, "head-pressure", model::Dimension::share, false, false, 0,
             "nozzle data; common practice"},
            judge_run,
            judge_system};
}

std::optional<double> wanted_pressure(const model::System& system, Index head) {
    return lower_side(system, head, given_share(system)).pressure;
}

std::optional<double> allowed_pressure(const model::System& system, Index head) {
    return upper_side(system, head, given_share(system)).pressure;
}

}  // namespace evenhead::solver
