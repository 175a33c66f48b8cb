#include "io/report/facts.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "model/position.hpp"

namespace evenhead::io {
namespace {

using solver::ElementKind;
using solver::RunFindings;
using solver::RunResult;

constexpr std::size_t most_worksheets = 60;  // each is a printed page
constexpr std::size_t most_bytes_of_numbers = 2'000'000;

}  // namespace

ReportFacts::ReportFacts(const CheckSubject& of, const Speaker& by)
    : subject(of),
      speaker(by),
      answer(by, of.case_path),
      found(by),
      noticed(by),
      heads(of.system.heads.size()),
      pipes(of.system.pipes.size()),
      devices(of.system.devices.size()),
      valves(of.system.valves.size()),
      supplies(of.system.supplies.size(), {model::none, 0}),
      worksheets(most_worksheets),
      numbers(most_bytes_of_numbers),
      marks(of.system, of.layout, false) {
    for (std::size_t i = 0; i < heads.size(); ++i) {
        const auto head = static_cast<Index>(i);
        heads[i].mark.state = HeadState::off;
        heads[i].needs = solver::wanted_pressure(of.system, head).value_or(not_known);
        heads[i].bears = solver::allowed_pressure(of.system, head).value_or(not_known);
    }
}

void ReportFacts::mark_over(const solver::Finding& finding) {
    if (!finding.fails || finding.subject.index == model::none) return;
    const std::size_t i = at(finding.subject.index);
    switch (finding.subject.kind) {
        case ElementKind::head:
            heads[i].over = true;
            break;
        case ElementKind::pipe:
            pipes[i].over = true;
            break;
        case ElementKind::device:
            devices[i].over = true;
            break;
        case ElementKind::valve:
            valves[i].over = true;
            break;
        case ElementKind::point:
        case ElementKind::supply:
        case ElementKind::run:
            break;
    }
}

void ReportFacts::add_heads(const RunMarks& run) {
    for (const HeadMark& mark : run.heads) {
        HeadFacts& head = heads[at(mark.head)];
        // std::fmin leaves out the side that has no limit.
        double margin = std::fmin(mark.pressure - head.needs, head.bears - mark.pressure);
        if (mark.state == HeadState::dry) margin = -std::numeric_limits<double>::infinity();
        const bool worse = std::isnan(margin) ? mark.pressure < head.mark.pressure : !(margin >= head.margin);
        if (head.mark.state != HeadState::off && !worse) continue;
        head.mark = mark;
        head.margin = margin;
    }
}

void ReportFacts::add_pipes(const RunResult& result, const RunFindings& findings) {
    for_each(result.concerned.pipes, [&](int position) {
        const std::size_t i = at(position);
        PipeFacts& pipe = pipes[i];
        if (!findings.surge.empty() && findings.surge[i] > 0)
            pipe.surge = std::fmax(pipe.surge, findings.surge[i]);
        if (!(result.pipe_velocity[i] > pipe.velocity)) return;
        pipe.run = result.run;
        pipe.flow = std::abs(result.pipe_flow[i]);
        pipe.velocity = result.pipe_velocity[i];
        pipe.loss = std::abs(result.pipe_loss[i]);
    });
}

void ReportFacts::add_passed(const RunResult& result) {
    const auto pass = [&](std::vector<PassedFacts>& all, int position, const auto& flow, const auto& inlet,
                          const auto& outlet, const auto& holding) {
        const std::size_t i = at(position);
        PassedFacts& one = all[i];
        if (!(std::abs(flow[i]) > one.flow)) return;
        const bool over = one.over;
        one = {result.run, std::abs(flow[i]), inlet[i], outlet[i], holding[i] != 0, over};
    };
    for_each(result.concerned.devices, [&](int i) {
        pass(devices, i, result.device_flow, result.device_inlet, result.device_outlet,
             result.device_holding);
    });
    for_each(result.concerned.valves, [&](int i) {
        pass(valves, i, result.valve_flow, result.valve_inlet, result.valve_outlet, result.valve_holding);
    });
    for (std::size_t i = 0; i < supplies.size(); ++i)
        if (result.supply_flow[i] > supplies[i].second) supplies[i] = {result.run, result.supply_flow[i]};
}

void ReportFacts::add_worksheet(const RunResult& result, const Badness& badness, Index head) {
    if (!worksheets.takes(badness)) return worksheets.pass_over();
    try {
        worksheets.add(badness, solver::make_worksheet(subject.system, subject.layout, result, head), 1);
    } catch (const std::invalid_argument&) {
        // No water reaches the head: there is no way to follow, and the findings say why.
    }
}

void ReportFacts::add(const RunResult& result, const RunFindings& findings) {
    answer.add(result, findings);
    marks.add(result, findings);
    not_checked.add(findings.not_checked);
    RunFacts facts;
    facts.run = result.run;
    facts.closure = result.closure;
    facts.solved = !result.failure;
    if (result.failure) {
        for (const std::string& sentence : failure_sentences(speaker, *result.failure))
            facts.failure += (facts.failure.empty() ? "" : " ") + sentence;
        runs.push_back(std::move(facts));
        return;
    }
    facts.flow = result.flow;
    facts.dry = !(result.flow > 0);
    facts.spread = findings.spread;
    facts.outside = has_failing(findings.findings) || facts.dry;
    const auto pressure = [&](Index head) {
        return head == model::none ? not_known : result.head_pressure[at(head)];
    };
    facts.lowest_head = findings.lowest_head;
    facts.lowest = pressure(findings.lowest_head);
    facts.highest_head = findings.highest_head;
    facts.highest = pressure(findings.highest_head);
    facts.critical_head = findings.critical_head;
    facts.critical = pressure(findings.critical_head);
    if (findings.critical_head != model::none) facts.margin = findings.critical_margin;
    facts.fastest_pipe = findings.top_velocity_pipe;
    if (facts.fastest_pipe != model::none) facts.velocity = result.pipe_velocity[at(facts.fastest_pipe)];
    if (findings.top_surge_pipe != model::none) facts.surge = findings.surge[at(findings.top_surge_pipe)];

    for (const solver::Finding& finding : findings.findings) {
        found.add(finding, &result);
        mark_over(finding);
    }
    for (const solver::Finding& finding : findings.warnings) noticed.add(finding, &result);
    add_heads(marks.runs().back());
    add_pipes(result, findings);
    add_passed(result);

    const Badness badness{facts.outside, facts.margin, result.run};
    if (findings.critical_head != model::none) add_worksheet(result, badness, findings.critical_head);
    if (numbers.takes(badness)) {
        std::string text = run_numbers(speaker, result, marks.runs().back());
        const std::size_t bytes = text.size();
        numbers.add(badness, std::move(text), bytes);
    } else {
        numbers.pass_over();
    }
    runs.push_back(std::move(facts));
}

void ReportFacts::finish(const solver::CheckSummary& of_all) {
    summary = of_all;
    marks.finish(of_all);
    not_checked.add(of_all.not_checked);
    for (const solver::Finding& finding : of_all.findings) {
        found.add(finding, nullptr);
        mark_over(finding);
    }
    for (const solver::Finding& finding : of_all.warnings) noticed.add(finding, nullptr);
}

}  // namespace evenhead::io
