#include "io/write/check_answer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/write/finding_list.hpp"
#include "io/write/layout.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;
using solver::Finding;
using solver::RuleId;

/// The finding in as few words as will do: "24.1 psi where it needs 30 psi".
std::string short_words(const Speaker& speaker, const Finding& finding) {
    const std::string value = speaker.units.beside(finding.value, finding.limit, finding.dimension);
    const std::string limit = speaker.units.limit(finding.limit, finding.dimension);
    switch (finding.rule) {
        case RuleId::head_pressure:
            return fmt::format("{}, {} {}", value, finding.upper ? "at most" : "needs", limit);
        case RuleId::zone_spread:
            return fmt::format("pressures differ {}, at most {}", value, limit);
        case RuleId::pipe_rating:
            return fmt::format("under {}, rated for {}", value, limit);
        case RuleId::surge:
            return fmt::format("surge of {}, at most {}", value, limit);
        case RuleId::below_atmosphere:
            return fmt::format("{}, below the air's pressure", value);
        case RuleId::data_range:
            return finding.dimension == Dimension::none ? "outside its data" : value + ", outside its data";
        case RuleId::short_flow:
            return fmt::format("draws {} of {}", value, limit);
        case RuleId::unfed:
            return "gets water in no run";
        case RuleId::two_valves:
            return "is fed through two valves";
        case RuleId::stated:
            return fmt::format("{}, stated otherwise", value);
        case RuleId::regulator:
            return fmt::format("static pressure of {}, at most {}", value, limit);
        case RuleId::regulated_inlet:
            return fmt::format("{} before it, needs {}", value, limit);
        case RuleId::working_pressure:
            return fmt::format("under {}, at most {}", value, limit);
        case RuleId::spacing:
        case RuleId::velocity:
        case RuleId::meter_flow:
        case RuleId::meter_loss:
            break;
    }
    return fmt::format("{}, at most {}", value, limit);
}

}  // namespace

std::string critical_words(const Speaker& speaker, const solver::CheckSummary& summary) {
    using solver::ElementRef;
    if (summary.critical_head == model::none) return "no head runs";
    const std::string head = element_name(speaker.system, {ElementKind::head, summary.critical_head});
    const std::string run = speaker.system.runs[at(summary.critical_run)].id;
    if (std::isnan(summary.critical_margin))
        return fmt::format("critical {} in run {}; no wanted pressure is given", head, run);
    const auto wanted = solver::wanted_pressure(speaker.system, summary.critical_head);
    std::string text = fmt::format("critical {} in run {}: ", head, run);
    if (wanted)
        text +=
            fmt::format("{}, needs {}",
                        speaker.units.beside(*wanted + summary.critical_margin, *wanted, Dimension::pressure),
                        speaker.units.limit(*wanted, Dimension::pressure));
    return text +
           fmt::format(" (margin {})", speaker.units.text(summary.critical_margin, Dimension::pressure));
}

bool has_failing(const std::vector<Finding>& findings) {
    return std::any_of(findings.begin(), findings.end(),
                       [](const Finding& finding) { return finding.fails; });
}

void CheckAnswer::add(const solver::RunResult& result, const solver::RunFindings& findings) {
    only_run_ = runs_ == 0 ? result.run : model::none;
    ++runs_;
    if (result.failure) {
        ++unsolved_;
        if (!first_failure_) first_failure_ = {result.run, *result.failure};
        return;
    }
    if (has_failing(findings.findings)) ++outside_;
    if (findings.top_surge_pipe != model::none && findings.surge[at(findings.top_surge_pipe)] > surge_) {
        surge_ = findings.surge[at(findings.top_surge_pipe)];
        surge_run_ = result.run;
        surge_pipe_ = findings.top_surge_pipe;
        surge_valve_ = findings.top_surge_valve;
    }
    for (const Finding& finding : findings.findings)
        if (finding.fails && (!worst_ || finding_severity(finding) < finding_severity(worst_->finding)))
            worst_ = Worst{finding, result.run};
}

std::optional<CheckAnswer::Worst> CheckAnswer::worst(const solver::CheckSummary& summary) const {
    std::optional<Worst> found = worst_;
    for (const Finding& finding : summary.findings)
        if (finding.fails && (!found || finding_severity(finding) < finding_severity(found->finding)))
            found = Worst{finding, model::none};
    return found;
}

std::string CheckAnswer::verdict(const solver::CheckSummary& summary, const Page& page) const {
    const auto over_all = static_cast<std::size_t>(std::count_if(
        summary.findings.begin(), summary.findings.end(), [](const Finding& f) { return f.fails; }));
    const std::string of_runs = fmt::format("of {}", counted(runs_, "run"));
    std::string text;
    Colour colour = Colour::bad;
    if (unsolved_ > 0) {
        text = fmt::format("No solution: {} {}", unsolved_, of_runs);
        if (outside_ > 0) text += fmt::format("; outside limits: {}", outside_);
    } else if (outside_ > 0) {
        text = fmt::format("Outside limits: {} {}", outside_, of_runs);
    } else if (over_all > 0) {
        text = "Outside limits: the system as a whole";
    } else {
        colour = Colour::good;
        text = runs_ == 1 && only_run_ != model::none
                   ? fmt::format("Within limits in run {}", speaker_.system.runs[at(only_run_)].id)
                   : fmt::format("Within limits in all {}", counted(runs_, "run"));
    }
    if (over_all > 0 && unsolved_ + outside_ > 0)
        text += fmt::format("; and {} on the whole system", counted(over_all, "finding"));
    return coloured(text + ".", colour, page) + "\n";
}

std::string CheckAnswer::critical_head(const solver::CheckSummary& summary) const {
    return sentence_case(critical_words(speaker_, summary)) + ".";
}

std::string CheckAnswer::reason(const solver::CheckSummary& summary, const Page& page) const {
    if (first_failure_) {
        const auto& [run, failure] = *first_failure_;
        return paragraph(
            printable(fmt::format("Run {}: {}", speaker_.system.runs[at(run)].id, with_dot(failure.text))),
            page.columns());
    }
    const auto found = worst(summary);
    if (!found) return paragraph(critical_head(summary), page.columns());
    std::string text = "Worst: " + element_name(speaker_.system, found->finding.subject);
    // Without a number there is a sentence: "head S5 gets water in no run".
    if (found->run != model::none)
        text += fmt::format(" in run {}:", speaker_.system.runs[at(found->run)].id);
    else if (found->finding.dimension != Dimension::none)
        text += ":";
    return paragraph(fmt::format("{} {}.", text, short_words(speaker_, found->finding)), page.columns());
}

std::string CheckAnswer::next_step(const solver::CheckSummary& summary, const Page& page) const {
    const std::string program = "evenhead worksheet " + shell_word(case_path_);
    if (first_failure_) {
        const std::string& remedy = first_failure_->second.remedy;
        return paragraph("Next: " + (remedy.empty() ? "see \"No solution\" below." : with_dot(remedy)),
                         page.columns());
    }
    const auto found = worst(summary);
    if (!found)
        return summary.critical_head == model::none ? "Next: put heads on it.\n" : "Next: " + program + "\n";
    const Finding& finding = found->finding;
    if (finding.rule == RuleId::head_pressure && !finding.upper && found->run != model::none)
        return fmt::format("Next: {} {} --run {}\n", program,
                           shell_word(element_id(speaker_.system, finding.subject)),
                           shell_word(speaker_.system.runs[at(found->run)].id));
    return paragraph("Next: " + finding_remedy(speaker_, finding), page.columns());
}

std::string CheckAnswer::remedy(const solver::CheckSummary& summary) const {
    if (first_failure_)
        return first_failure_->second.remedy.empty() ? "" : with_dot(first_failure_->second.remedy);
    const auto found = worst(summary);
    return found ? finding_remedy(speaker_, found->finding) : "";
}

std::string CheckAnswer::surge(const Page& page) const {
    if (surge_pipe_ == model::none) return "";
    return paragraph(
        fmt::format("Largest surge, {} closing at once in run {}: {} in {}.",
                    element_name(speaker_.system, {ElementKind::valve, surge_valve_}),
                    speaker_.system.runs[at(surge_run_)].id, speaker_.units.text(surge_, Dimension::pressure),
                    element_name(speaker_.system, {ElementKind::pipe, surge_pipe_})),
        page.columns());
}

std::string CheckAnswer::lower_supply(const LowerSupply& lower, const Page& page) const {
    std::string state;
    if (lower.unsolved > 0)
        state = fmt::format("no solution in {} of {}, ", lower.unsolved, counted(lower.runs, "run"));
    state += lower.outside == 0 && lower.unsolved == 0
                 ? std::string(lower.runs == 1 ? "within limits" : "all runs within limits")
                 : fmt::format("outside limits in {} of {}", lower.outside, counted(lower.runs, "run"));
    return paragraph(
        fmt::format("At supply {} lower: {}; {}.", speaker_.units.limit(-lower.change, Dimension::pressure),
                    state, critical_words(speaker_, lower.summary)),
        page.columns());
}

std::string cautions(const Page& page) {
    return paragraph(
        "For irrigation sprinklers, not for fire protection. Not counted: velocity head, fittings that no "
        "row "
        "gives, and transients other than a valve's closing. Locate buried utilities before digging, relieve "
        "the "
        "pressure before opening a fitting, and protect the supply against backflow as the local rule says; "
        "the "
        "local plumbing code and a licensed irrigator or engineer decide.",
        page.columns());
}

std::string shell_word(const std::string& text) {
    const bool plain = !text.empty() && std::all_of(text.begin(), text.end(), [](char c) {
        return static_cast<unsigned char>(c) >= 0x80 || (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') ||
               (c >= 'A' && c <= 'Z') || std::string_view("_-./+,:@%").find(c) != std::string_view::npos;
    });
    if (plain) return printable(text);
    std::string quoted = "'";
    for (const char c : printable(text)) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return quoted + "'";
}

}  // namespace evenhead::io
