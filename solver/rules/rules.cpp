#include "solver/rules/rules.hpp"

#include <algorithm>
#include <limits>
#include <tuple>

#include "model/catalogue.hpp"
#include "solver/rules/rule.hpp"
#include "solver/water.hpp"

namespace evenhead::solver {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// Every rule, in the order of RuleId.
const std::vector<Rule>& all_rules() {
    static const std::vector<Rule> rules{
        head_pressure_rule(),    zone_spread_rule(), velocity_rule(),        meter_flow_rule(),
        meter_loss_rule(),       pipe_rating_rule(), surge_rule(),           below_atmosphere_rule(),
        data_range_rule(),       short_flow_rule(),  unfed_rule(),           two_valves_rule(),
        stated_rule(),           regulator_rule(),   regulated_inlet_rule(), spacing_rule(),
        working_pressure_rule(),
    };
    return rules;
}

RuleLimit resolve(const RuleInfo& info, const model::System& system) {
    RuleLimit limit;
    limit.has_value = info.has_default;
    limit.value = info.default_limit;
    const auto given = system.limits.find(std::string(info.name));
    limit.off = limit.not_asked = info.on_request;
    if (given != system.limits.end()) {
        const model::Limit& own = given->second;
        limit.off = own.off;
        limit.not_asked = false;
        limit.fail = own.fail;
        limit.base = own.base;
        limit.source = own.source;
        if (const auto value = known(own.value)) {
            limit.given = limit.has_value = true;
            limit.value = *value;
        }
        limit.by_material.fill(limit.value);
        for (std::size_t material = 0; material < own.by_material.size(); ++material) {
            const auto value = known(own.by_material[material]);
            if (!value) continue;
            limit.given = limit.has_value = limit.differs_by_material = true;
            limit.by_material[material] = *value;
        }
    }
    return limit;
}

/// Share of the rating left at the water's temperature. A rating holds whole up to 23 degC, whatever the
/// material.
std::optional<double> factor_of(const model::PipeSize& size, double temperature) {
    const auto factor = model::rating_factor(size, temperature);
    constexpr double rated_at = 23;  // degC; 73.4 degF
    if (!factor && temperature <= rated_at) return 1.0;
    return factor;
}

double wall_of(const model::PipeSize& size) {
    return std::isnan(size.wall) ? (size.outside - size.bore.value) / 2 : size.wall;
}

double surge_per_flow(const model::PipeSize& size, double density, double bulk_modulus) {
    const double wall = wall_of(size), bore = size.bore.value;
    if (!(wall > 0) || !(bore > 0) || !(size.modulus > 0)) return unknown;
    constexpr double pi = 3.14159265358979323846;
    return density * wave_speed(bulk_modulus, density, size.modulus, bore / wall) / (pi / 4 * bore * bore);
}

RuleBasis::End end_at(const model::System& system, const model::Layout& layout, std::size_t pipe,
                      std::size_t end) {
    using At = RuleBasis::End::At;
    const Index index = end == 0 ? system.pipes[pipe].from : system.pipes[pipe].to;
    const model::Point& point = system.points[at(index)];
    const bool outlet = layout.end_on_outlet[pipe][end];
    if (point.kind == model::PointKind::device)
        return {outlet ? At::device_outlet : At::device_inlet, point.row};
    if (point.kind == model::PointKind::valve)
        return {outlet ? At::valve_outlet : At::valve_inlet, point.row};
    return {At::point, index};
}

model::Place place_of(const model::System& system, const ElementRef& element) {
    if (element.index == model::none) return {};
    const std::size_t i = at(element.index);
    switch (element.kind) {
        case ElementKind::point:
            return system.points[i].place;
        case ElementKind::pipe:
            return system.pipes[i].place;
        case ElementKind::device:
            return system.points[at(system.devices[i].point)].place;
        case ElementKind::valve:
            return system.valves[i].place;
        case ElementKind::head:
            return system.points[at(system.heads[i].point)].place;
        case ElementKind::supply:
            return system.points[at(system.supplies[i].point)].place;
        case ElementKind::run:
            return system.runs[i].place;
    }
    return {};
}

std::vector<Index> running_heads(const model::Layout& layout, const RunResult& result) {
    std::vector<Index> running = layout.heads_on_mainline;
    for (const Index valve : result.open) {
        const std::vector<Index>& heads = layout.zone_heads[at(valve)];
        running.insert(running.end(), heads.begin(), heads.end());
    }
    std::sort(running.begin(), running.end());
    running.erase(std::unique(running.begin(), running.end()), running.end());
    return running;
}

void find_top_velocity(const RunResult& result, RunFindings& found) {
    double top = 0;
    for_each(result.concerned.pipes, [&](Index pipe) {
        if (!clearly_above(result.pipe_velocity[at(pipe)], top)) return;
        top = result.pipe_velocity[at(pipe)];
        found.top_velocity_pipe = pipe;
    });
}

}  // namespace

const std::vector<RuleInfo>& rule_table() {
    static const std::vector<RuleInfo> table = [] {
        std::vector<RuleInfo> rows;
        for (const Rule& rule : all_rules()) rows.push_back(rule.info);
        return rows;
    }();
    return table;
}

const RuleInfo* find_rule(std::string_view name) {
    const auto& table = rule_table();
    const auto row =
        std::find_if(table.begin(), table.end(), [&](const RuleInfo& info) { return info.name == name; });
    return row == table.end() ? nullptr : &*row;
}

std::string limit_source(const RuleBasis& basis, RuleId rule) {
    const RuleInfo& info = rule_table()[static_cast<std::size_t>(rule)];
    if (!basis[rule].source.empty()) return basis[rule].source;
    return basis[rule].given ? "limits." + std::string(info.name) : std::string(info.source);
}

RuleBasis prepare_rules(const model::System& system, const model::Layout& layout) {
    RuleBasis basis;
    for (const RuleInfo& info : rule_table())
        basis.limits[static_cast<std::size_t>(info.id)] = resolve(info, system);
    basis.density = density(system.temperature);
    const double modulus = bulk_modulus(system.temperature);
    const double share = basis[RuleId::pipe_rating].value;
    basis.allowed.resize(system.pipes.size(), unknown);
    basis.surge_per_flow.resize(system.pipes.size(), unknown);
    for (std::size_t p = 0; p < system.pipes.size(); ++p) {
        const model::PipeSize& size = *system.pipes[p].size;
        basis.ends.push_back({end_at(system, layout, p, 0), end_at(system, layout, p, 1)});
        const auto rating = known(size.rating);
        const auto factor = rating ? factor_of(size, system.temperature) : std::nullopt;
        if (factor) {
            basis.allowed[p] = *rating * *factor * share;
            basis.least_allowed = std::min(basis.least_allowed, basis.allowed[p]);
        }
        if (!layout.pipe_on_mainline[p]) continue;  // a closing valve shocks what lies on its supply side
        basis.surge_per_flow[p] = surge_per_flow(size, basis.density, modulus);
        if (!std::isnan(basis.surge_per_flow[p])) basis.surge_pipes.push_back(static_cast<Index>(p));
    }
    return basis;
}

RunFindings judge_run(const model::System& system, const model::Layout& layout, const RunResult& result,
                      const RuleContext& context) {
    RunFindings found;
    judge_run(system, layout, result, context, found);
    return found;
}

void judge_run(const model::System& system, const model::Layout& layout, const RunResult& result,
               const RuleContext& context, RunFindings& found) {
    RunFindings empty;
    empty.surge = std::move(found.surge);  // its memory: see find_surge
    empty.surge_valve = std::move(found.surge_valve);
    found = std::move(empty);
    found.critical_margin = found.spread = unknown;
    if (context.keep_worst) found.worst.resize(rule_count);
    if (!balanced(&result)) {
        found.surge.clear();
        found.surge_valve.clear();
        return;
    }
    const RunCase run{system,
                      layout,
                      *context.basis,
                      result,
                      context,
                      running_heads(layout, result),
                      1e-12 + 1e-9 * result.flow};
    find_top_velocity(result, found);
    find_surge(run, found);
    for (const Rule& rule : all_rules())
        if (rule.judge_run != nullptr) rule.judge_run(run, found);
    sort_findings(system, found.findings);
    sort_findings(system, found.warnings);
}

void add_watered(const RunResult& result, std::vector<char>& head_watered) {
    if (!balanced(&result)) return;
    head_watered.resize(result.head_flow.size(), 0);
    for_each(result.concerned.heads, [&](Index head) {
        if (result.head_flow[at(head)] > 0) head_watered[at(head)] = 1;
    });
}

SystemFindings judge_system(const model::System& system, const model::Layout& layout,
                            const SystemContext& context) {
    SystemFindings found;
    if (context.keep_worst) found.worst.resize(rule_count);
    const SystemCase whole{system, layout, *context.basis, context, balanced(context.all_shut)};
    for (const Rule& rule : all_rules()) {
        const RuleLimit& limit = (*context.basis)[rule.info.id];
        if (limit.off) {
            if (!limit.not_asked) found.rules_off.push_back(rule.info.id);
        } else if (rule.judge_system != nullptr) {
            rule.judge_system(whole, found);
        }
    }
    sort_findings(system, found.findings);
    sort_findings(system, found.warnings);
    return found;
}

double severity(double margin, double limit) {
    const double size = std::abs(limit);
    return size > 0 ? margin / size : std::copysign(std::numeric_limits<double>::infinity(), margin);
}

bool worse(const Worst& one, const Worst& other) {
    if (std::isnan(one.limit) || std::isnan(other.limit)) return clearly_above(one.value, other.value);
    const double share = severity(one.margin, one.limit),
                 share_of_other = severity(other.margin, other.limit);
    if (share == share_of_other) return one.margin < other.margin;
    if (std::isinf(share) || std::isinf(share_of_other)) return share < share_of_other;
    return clearly_above(share_of_other, share);
}

void sort_findings(const model::System& system, std::vector<Finding>& findings) {
    const auto key = [&](const Finding& finding) {
        const model::Place place = place_of(system, finding.subject);
        return std::tuple(severity(finding.margin, finding.limit), place.file, place.line, place.column,
                          finding.subject.kind, finding.subject.index, finding.rule);
    };
    std::stable_sort(findings.begin(), findings.end(),
                     [&](const Finding& one, const Finding& other) { return key(one) < key(other); });
}

double pressure_at(const RunResult& result, const RuleBasis::End& end) {
    using At = RuleBasis::End::At;
    switch (end.at) {
        case At::point:
            return result.point_pressure[at(end.row)];
        case At::device_inlet:
            return result.device_inlet[at(end.row)];
        case At::device_outlet:
            return result.device_outlet[at(end.row)];
        case At::valve_inlet:
            return result.valve_inlet[at(end.row)];
        case At::valve_outlet:
            return result.valve_outlet[at(end.row)];
    }
    return unknown;
}

}  // namespace evenhead::solver
