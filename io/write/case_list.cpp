#include "io/write/case_list.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

#include "io/write/check_answer.hpp"
#include "io/write/issues.hpp"
#include "io/write/json_writer.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;

constexpr int widest_name = 48;  // columns; a longer name moves its own line only
constexpr int numbers_width = 23;

std::string_view verdict_words(CaseVerdict verdict) {
    switch (verdict) {
        case CaseVerdict::within:
            return "within limits";
        case CaseVerdict::outside:
            return "outside limits";
        case CaseVerdict::unsolved:
            return "did not balance";
        case CaseVerdict::not_read:
            break;
    }
    return "not read";
}

Colour colour_of(CaseVerdict verdict) {
    return verdict == CaseVerdict::within ? Colour::good : Colour::bad;
}

/// What stands behind the words of the verdict.
std::string details(const CaseOutcome& outcome) {
    std::string text;
    switch (outcome.verdict) {
        case CaseVerdict::within:
            text = "; ";
            break;
        case CaseVerdict::outside:
            text = fmt::format(": {}; ", counted(outcome.findings, "finding"));
            break;
        case CaseVerdict::unsolved:
            text = outcome.runs == 0
                       ? ": "
                       : fmt::format(": {} of {}; ", outcome.unsolved, counted(outcome.runs, "run"));
            break;
        case CaseVerdict::not_read:
            text = ": ";
            break;
    }
    text += outcome.words;
    if (outcome.errors > 1) text += fmt::format(" (and {})", counted(outcome.errors - 1, "more error"));
    if (outcome.warnings > 0) text += fmt::format("; {}", counted(outcome.warnings, "warning"));
    return text;
}

}  // namespace

CaseTally::CaseTally(const model::System& system, std::string name, std::size_t warnings)
    : speaker_{system, ShownUnits::of_text(system)} {
    outcome_.name = std::move(name);
    outcome_.title = system.title;
    outcome_.heads = system.heads.size();
    outcome_.warnings = warnings;
}

void CaseTally::add_to(Subjects& subjects, const std::vector<solver::Finding>& findings) {
    for (const solver::Finding& finding : findings)
        subjects.emplace(finding.rule, finding.subject.kind, finding.subject.index);
}

void CaseTally::add(const solver::RunResult& result, const solver::RunFindings& findings) {
    ++outcome_.runs;
    if (result.failure) {
        ++outcome_.unsolved;
        if (first_failure_.empty())
            first_failure_ =
                fmt::format("run {}: {}", speaker_.system.runs[at(result.run)].id, result.failure->text);
        return;
    }
    add_to(found_, findings.findings);
    add_to(noticed_, findings.warnings);
}

CaseOutcome CaseTally::finish(const solver::CheckSummary& summary) {
    const model::System& system = speaker_.system;
    add_to(found_, summary.findings);
    add_to(noticed_, summary.warnings);
    outcome_.findings = found_.size();
    outcome_.warnings += noticed_.size();
    outcome_.verdict = !summary.solved         ? CaseVerdict::unsolved
                       : summary.within_limits ? CaseVerdict::within
                                               : CaseVerdict::outside;
    outcome_.words = summary.solved ? critical_words(speaker_, summary) : first_failure_;
    const ShownUnits units = ShownUnits::of_case(system.units);
    outcome_.unit = units.word(Dimension::pressure);
    if (summary.critical_head != model::none) {
        outcome_.critical_run = system.runs[at(summary.critical_run)].id;
        outcome_.critical_head = element_id(system, {ElementKind::head, summary.critical_head});
        outcome_.margin = units.in_unit(summary.critical_margin, Dimension::pressure);
    }
    return outcome_;
}

CaseOutcome refused_case(const std::string& name, const std::vector<model::Issue>& errors,
                         const std::vector<std::string>& files) {
    CaseOutcome outcome;
    outcome.name = name;
    outcome.errors = errors.size();
    const model::Issue& first = errors.front();
    outcome.words = fmt::format("{}: {}{}", issue_place(first, files, name),
                                first.row.empty() ? "" : first.row + ": ", first.text);
    return outcome;
}

int case_name_width(const std::vector<std::string>& names) {
    int width = 0;
    for (const std::string& name : names) width = std::max(width, display_width(printable(name)));
    return std::min(width, widest_name);
}

std::string case_line(const CaseOutcome& outcome, int name_width, const Page& page) {
    const std::string name = printable(outcome.name);
    const int missing = name_width - display_width(name);
    const std::string numbers =
        outcome.runs + outcome.heads == 0
            ? ""
            : fmt::format("{:>12}{:>11}", counted(outcome.heads, "head"), counted(outcome.runs, "run"));
    const std::string verdict(verdict_words(outcome.verdict));
    return fmt::format(
        "{}{}{:>{}}  {}{}\n", name, std::string(static_cast<std::size_t>(std::max(0, missing)), ' '), numbers,
        numbers_width, coloured(verdict, colour_of(outcome.verdict), page), printable(details(outcome)));
}

std::string_view case_row_heading() {
    return "case,title,ok,verdict,heads,runs,unsolved,findings,warnings,critical_run,critical_head,margin,"
           "unit,errors,"
           "text\n";
}

void case_row(RowSink& sink, const CaseOutcome& outcome) {
    const double unknown = std::numeric_limits<double>::quiet_NaN();
    const bool read = outcome.verdict != CaseVerdict::not_read;
    const auto count = [&](std::string_view key, std::size_t number) {
        sink.number(key, read ? static_cast<double>(number) : unknown);
    };
    sink.text("case", outcome.name);
    sink.text("title", outcome.title);
    sink.boolean("ok", outcome.verdict == CaseVerdict::within);
    sink.text("verdict", verdict_words(outcome.verdict));
    count("heads", outcome.heads);
    count("runs", outcome.runs);
    count("unsolved", outcome.unsolved);
    count("findings", outcome.findings);
    count("warnings", outcome.warnings);
    sink.text("critical_run", outcome.critical_run);
    sink.text("critical_head", outcome.critical_head);
    sink.number("margin", outcome.margin);
    sink.text("unit", outcome.unit);
    sink.number("errors", static_cast<double>(outcome.errors));
    sink.text("text", outcome.words);
}

void refused_case_json(Output& output, const std::string& name, const std::vector<model::Issue>& errors,
                       const std::vector<std::string>& files) {
    JsonWriter json(output);
    json.begin_object().text("case", name).key("ok").boolean(false).key("errors").begin_array();
    for (const model::Issue& issue : errors) {
        json.begin_object().text("file", issue_file(issue, files, name));
        json.key("line").whole(issue.place.line);
        json.key("column").whole(issue.place.column);
        json.text("row", issue.row).text("text", issue.text).text("mend", issue.mend).end_object();
    }
    json.end_array().end_object();
}

void CaseTotal::add(const CaseOutcome& outcome) {
    ++cases_[static_cast<std::size_t>(outcome.verdict)];
    heads_ += outcome.heads;
    runs_ += outcome.runs;
}

std::string CaseTotal::text(const std::string& shard) const {
    const std::size_t all = std::accumulate(cases_.begin(), cases_.end(), std::size_t{0});
    std::string text = shard.empty() ? "" : fmt::format("Shard {}: ", shard);
    if (all == 0) return text + "no cases.\n";
    text += fmt::format("{}, {}, {}", counted(all, "case"), counted(heads_, "head"), counted(runs_, "run"));
    std::string_view before = ": ";
    for (std::size_t verdict = 0; verdict < cases_.size(); ++verdict) {
        if (cases_[verdict] == 0) continue;
        text +=
            fmt::format("{}{} {}", before, cases_[verdict], verdict_words(static_cast<CaseVerdict>(verdict)));
        before = ", ";
    }
    return text + ".\n";
}

}  // namespace evenhead::io
