// pipe-rating: no pipe under more than its rating at this temperature: (a) with every valve shut, on the
// mainline; (b) in a run, with the surge of a valve closing at once added.
// working-pressure: the pressure without surge stays below a share of that rating; on request only.
#include <algorithm>

#include "model/catalogue.hpp"
#include "solver/rules/rule.hpp"

namespace evenhead::solver {
namespace {

/// The higher of both ends; one end may be out of reach.
double highest_pressure(const RuleBasis& basis, const RunResult& result, Index pipe) {
    const auto& ends = basis.ends[at(pipe)];
    return std::fmax(pressure_at(result, ends[0]), pressure_at(result, ends[1]));
}

/// The standard of the kind, unless the pipe's own row gave another rating.
std::string rating_source(const model::PipeSize& size) {
    const model::PipeKind* kind = model::find_kind(size.kind);
    const model::PipeSize* listed = kind == nullptr ? nullptr : model::find_size(*kind, size.nominal);
    return listed != nullptr && listed->rating && listed->rating->value == size.rating->value
               ? kind->standard
               : "the pipe's rating";
}

Finding rating_finding(const model::System& system, const RuleBasis& basis, Index pipe, double value,
                       const char* detail) {
    Finding finding = make_finding(RuleId::pipe_rating, {ElementKind::pipe, pipe}, value,
                                   basis.allowed[at(pipe)], true, model::Dimension::pressure);
    finding.source = rating_source(*system.pipes[at(pipe)].size);
    if (basis[RuleId::pipe_rating].given) finding.source += ", " + limit_source(basis, RuleId::pipe_rating);
    finding.detail = detail;
    return finding;
}

void judge_run(const RunCase& run, RunFindings& found) {
    if (run.basis[RuleId::pipe_rating].off) return;
    const double top_surge = found.top_surge_pipe == model::none ? 0 : found.surge[at(found.top_surge_pipe)];
    if (found.worst.empty() &&
        run.result.highest_pressure + top_surge * (1 + 1e-8) <= run.basis.least_allowed)
        return;  // none is above
    for_each(run.result.concerned.pipes, [&](Index pipe) {
        if (std::isnan(run.basis.allowed[at(pipe)])) return;
        double value = highest_pressure(run.basis, run.result, pipe);
        const double surge = found.surge.empty() ? 0 : found.surge[at(pipe)];
        if (surge > 0) value += surge;
        if (!judge(found, RuleId::pipe_rating, {ElementKind::pipe, pipe}, value, run.basis.allowed[at(pipe)],
                   true, model::Dimension::pressure))
            return;
        Finding finding = rating_finding(run.system, run.basis, pipe, value,
                                         surge > 0 ? "pressure in the run and surge" : "pressure in the run");
        if (surge > 0) finding.also = {{ElementKind::valve, found.surge_valve[at(pipe)]}};
        found.findings.push_back(std::move(finding));
    });
}

/// Why a pipe that bears a rating is not held to it, or not with every valve shut; empty: it is.
const char* why_not_static(const SystemCase& whole, std::size_t pipe) {
    if (!whole.system.pipes[pipe].size->rating->known()) return "its rating is not known";
    if (std::isnan(whole.basis.allowed[pipe]))
        return "no temperature factor for its material at this temperature";
    return whole.layout.pipe_on_mainline[pipe] != 0 && !whole.all_shut
               ? "static: the balance with every valve shut has no solution"
               : "";
}

void judge_system(const SystemCase& whole, SystemFindings& found) {
    for (std::size_t p = 0; p < whole.system.pipes.size(); ++p) {
        const auto pipe = static_cast<Index>(p);
        const ElementRef subject{ElementKind::pipe, pipe};
        if (!whole.system.pipes[p].size->rating) continue;
        const bool mainline = whole.layout.pipe_on_mainline[p] != 0;
        if (const std::string_view why = why_not_static(whole, p); !why.empty()) {
            found.not_checked.push_back({RuleId::pipe_rating, subject, std::string(why)});
        } else if (mainline) {
            const double value = highest_pressure(whole.basis, *whole.context.all_shut, pipe);
            if (judge(found, RuleId::pipe_rating, subject, value, whole.basis.allowed[p], true,
                      model::Dimension::pressure))
                found.findings.push_back(
                    rating_finding(whole.system, whole.basis, pipe, value, "static, every valve shut"));
        }
        if (mainline && !whole.system.valves.empty() && !std::isnan(whole.basis.allowed[p]) &&
            std::isnan(whole.basis.surge_per_flow[p]))
            found.not_checked.push_back(
                {RuleId::pipe_rating, subject, "checked without surge: no wall or no modulus of the pipe"});
    }
}

/// What the rule allows of the pipe's rating at this temperature; NaN: not rated.
double allowed_working(const RuleBasis& basis, Index pipe) {
    return basis.allowed[at(pipe)] / basis[RuleId::pipe_rating].value * basis[RuleId::working_pressure].value;
}

template <class Findings>
void judge_working(const model::System& system, const RuleBasis& basis, const RunResult& result, Index pipe,
                   const char* detail, Findings& found) {
    const double allowed = allowed_working(basis, pipe);
    if (std::isnan(allowed)) return;
    const ElementRef subject{ElementKind::pipe, pipe};
    const double value = highest_pressure(basis, result, pipe);
    if (!judge(found, RuleId::working_pressure, subject, value, allowed, true, model::Dimension::pressure))
        return;
    Finding finding =
        make_finding(RuleId::working_pressure, subject, value, allowed, true, model::Dimension::pressure);
    finding.source =
        rating_source(*system.pipes[at(pipe)].size) + ", " + limit_source(basis, RuleId::working_pressure);
    finding.detail = detail;
    found.findings.push_back(std::move(finding));
}

void judge_working_in_run(const RunCase& run, RunFindings& found) {
    if (run.basis[RuleId::working_pressure].off) return;
    for_each(run.result.concerned.pipes, [&](Index pipe) {
        judge_working(run.system, run.basis, run.result, pipe, "pressure in the run", found);
    });
}

void judge_working_static(const SystemCase& whole, SystemFindings& found) {
    for (std::size_t p = 0; p < whole.system.pipes.size(); ++p) {
        if (!whole.system.pipes[p].size->rating) continue;
        if (const std::string_view why = why_not_static(whole, p); !why.empty())
            found.not_checked.push_back(
                {RuleId::working_pressure, {ElementKind::pipe, static_cast<Index>(p)}, std::string(why)});
        else if (whole.layout.pipe_on_mainline[p] != 0)
            judge_working(whole.system, whole.basis, *whole.context.all_shut, static_cast<Index>(p),
                          "static, every valve shut", found);
    }
}

}  // namespace

Rule working_pressure_rule() {
    return {{RuleId::working_pressure, "working-pressure", model::Dimension::share, false, false, 0,
             "common practice", true},
            judge_working_in_run,
            judge_working_static};
}

Rule pipe_rating_rule() {
    return {{RuleId::pipe_rating, "pipe-rating", model::Dimension::share, false, true, 1.0,
             "the pipe's standard"},
            judge_run,
            judge_system};
}

}  // namespace evenhead::solver
