#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/write/check.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/finding_list.hpp"
#include "io/write/issues.hpp"
#include "io/write/open_points.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::ElementKind;
using solver::Finding;
using solver::RunFindings;
using solver::RunResult;

class CheckText : public CheckWriter {
  public:
    CheckText(Output& output, const CheckSubject& subject, const CheckTextOptions& options)
        : output_(output),
          subject_(subject),
          speaker_{subject.system, ShownUnits::of_text(subject.system)},
          options_(options),
          answer_(speaker_, subject.case_path),
          found_(speaker_),
          noticed_(speaker_),
          runs_({{"Run", "", 8},
                 {"Flow", unit(Dimension::flow), 6},
                 {"Lowest", unit(Dimension::pressure), 6},
                 {"Highest", unit(Dimension::pressure), 7},
                 {"Spread", "%", 6},
                 {"Velocity", unit(Dimension::velocity), 8},
                 {"Verdict", "", 8, true}}) {}

    void add(const RunResult& result, const RunFindings& findings) override;
    void finish(const solver::CheckSummary& summary, const LowerSupply* lower) override;

  private:
    struct RunLine {
        int order;  ///< 0 no solution, 1 outside limits, 2 within
        std::vector<std::string> cells;
    };
    std::string unit(Dimension dimension) const { return std::string(speaker_.units.word(dimension)); }
    std::string tables(const RunResult& result) const;
    std::string list(std::string_view title, std::size_t count,
                     const std::vector<std::string>& sentences) const;
    /// Ids in a list of subjects.
    std::size_t most_ids() const { return options_.page.all ? static_cast<std::size_t>(-1) : 6; }

    Output& output_;
    const CheckSubject subject_;
    Speaker speaker_;
    CheckTextOptions options_;
    CheckAnswer answer_;
    FindingList found_, noticed_;
    TextTable runs_;
    std::vector<RunLine> lines_;
    std::vector<std::string> failures_;
    NotCheckedList not_checked_;
    std::string tables_;
    std::size_t runs_with_tables_ = 0;
};

void CheckText::add(const RunResult& result, const RunFindings& findings) {
    answer_.add(result, findings);
    if (options_.verdict_only) return;
    const std::string& run = subject_.system.runs[at(result.run)].id;
    const auto number = [&](double si, Dimension dimension) { return speaker_.units.number(si, dimension); };
    not_checked_.add(findings.not_checked);
    if (result.failure) {
        lines_.push_back({0, {run, "-", "-", "-", "-", "-", "unsolved"}});
        std::string text = fmt::format("Run {} has no proven solution.", run);
        for (const std::string& sentence : failure_sentences(speaker_, *result.failure))
            text += " " + sentence;
        failures_.push_back(std::move(text));
        return;
    }
    const auto head = [&](Index index) {
        return index == model::none ? std::string("-")
                                    : number(result.head_pressure[at(index)], Dimension::pressure);
    };
    const Index fastest = findings.top_velocity_pipe;
    const bool fails = has_failing(findings.findings), dry = !(result.flow > 0);
    lines_.push_back(
        {fails || dry ? 1 : 2,
         {run, number(result.flow, Dimension::flow), head(findings.lowest_head), head(findings.highest_head),
          number(findings.spread, Dimension::share),
          fastest == model::none ? "-" : number(result.pipe_velocity[at(fastest)], Dimension::velocity),
          dry     ? "no water"
          : fails ? "outside"
                  : "within"}});
    for (const Finding& finding : findings.findings) found_.add(finding, &result);
    for (const Finding& finding : findings.warnings) noticed_.add(finding, &result);
    if (options_.tables != Detail::summary && runs_with_tables_++ < options_.page.rows())
        tables_ += tables(result);
}

std::string CheckText::tables(const RunResult& result) const {
    const ListedRows rows = listed_rows(subject_.system, result, options_.tables);
    const auto number = [&](double si, Dimension dimension) { return speaker_.units.number(si, dimension); };
    const auto id = [&](ElementKind kind, Index index) { return element_id(subject_.system, {kind, index}); };
    const std::string psi = unit(Dimension::pressure), gpm = unit(Dimension::flow);
    TextTable heads(
        {{"Head", "", 8}, {"Pressure", psi, 9}, {"Flow", gpm, 9}, {"Radius", unit(Dimension::length), 9}});
    for (const Index i : rows.heads)
        heads.add({id(ElementKind::head, i), number(result.head_pressure[at(i)], Dimension::pressure),
                   number(result.head_flow[at(i)], Dimension::flow),
                   number(result.head_radius[at(i)], Dimension::length)});
    TextTable passed({{"Valve or device", "", 16}, {"Flow", gpm, 9}, {"Inlet", psi, 9}, {"Outlet", psi, 9}});
    const auto pass = [&](ElementKind kind, Index i, double flow, double inlet, double outlet) {
        passed.add({id(kind, i), number(flow, Dimension::flow), number(inlet, Dimension::pressure),
                    number(outlet, Dimension::pressure)});
    };
    for (const Index i : rows.devices)
        pass(ElementKind::device, i, result.device_flow[at(i)], result.device_inlet[at(i)],
             result.device_outlet[at(i)]);
    for (const Index i : rows.valves)
        pass(ElementKind::valve, i, result.valve_flow[at(i)], result.valve_inlet[at(i)],
             result.valve_outlet[at(i)]);
    TextTable pipes(
        {{"Pipe", "", 8}, {"Flow", gpm, 9}, {"Velocity", unit(Dimension::velocity), 9}, {"Loss", psi, 9}});
    for (const Index i : rows.pipes)
        pipes.add({id(ElementKind::pipe, i), number(result.pipe_flow[at(i)], Dimension::flow),
                   number(result.pipe_velocity[at(i)], Dimension::velocity),
                   speaker_.units.number(result.pipe_loss[at(i)], Dimension::pressure, 1)});
    std::string text = fmt::format("\nRun {}\n\n", subject_.system.runs[at(result.run)].id);
    for (const TextTable* table : {&heads, &passed, &pipes})
        if (table->size() > 0) text += table->text(options_.page) + "\n";
    text.pop_back();
    return text;
}

std::string CheckText::list(std::string_view title, std::size_t count,
                            const std::vector<std::string>& sentences) const {
    if (sentences.empty()) return "";
    std::string text = fmt::format("\n{} ({})\n", title, count);
    const std::size_t shown = std::min(sentences.size(), options_.page.rows());
    for (std::size_t i = 0; i < shown; ++i)
        text += paragraph(printable(sentences[i]), options_.page.columns(), "- ");
    return text + and_more(sentences.size(), shown);
}

void CheckText::finish(const solver::CheckSummary& summary, const LowerSupply* lower) {
    const Page& page = options_.page;
    output_.write(answer_.verdict(summary, page));
    if (options_.verdict_only) return;
    output_.write(answer_.reason(summary, page));
    output_.write(answer_.next_step(summary, page));
    output_.write("\n");

    // Where not all are shown, the runs that matter come first.
    const bool sorted = lines_.size() > page.rows();
    if (sorted)
        std::stable_sort(lines_.begin(), lines_.end(),
                         [](const RunLine& left, const RunLine& right) { return left.order < right.order; });
    for (RunLine& line : lines_) runs_.add(std::move(line.cells));
    output_.write(runs_.text(page));
    if (sorted && answer_.outside_runs() > 0 && answer_.outside_runs() < runs_.size())
        output_.write("The runs outside limits come first.\n");
    output_.write("\n" + answer_.surge(page));
    if (lower != nullptr) output_.write(answer_.lower_supply(*lower, page));

    output_.write(list("No solution", failures_.size(), failures_));
    for (const Finding& finding : summary.findings) found_.add(finding, nullptr);
    output_.write(list("Findings, worst first", found_.size(), found_.sentences(page)));
    const auto assumed = assumed_sentences(speaker_, subject_.layout, most_ids());
    output_.write(list("Assumed", assumed.size(), assumed));
    for (const Finding& finding : summary.warnings) noticed_.add(finding, nullptr);
    std::vector<std::string> warnings;
    for (const auto& issue : subject_.warnings) warnings.push_back(issue_sentence(issue, subject_.files));
    for (std::string& sentence : noticed_.sentences(page)) warnings.push_back(std::move(sentence));
    output_.write(list("Warnings", subject_.warnings.size() + noticed_.size(), warnings));
    not_checked_.add(summary.not_checked);
    const auto open_questions =
        not_checked_sentences(subject_.system, not_checked_, summary.rules_off, most_ids());
    output_.write(list("Not checked", open_questions.size(), open_questions));
    output_.write(tables_);
    if (runs_with_tables_ > page.rows())
        output_.write("\nTables of runs: " + and_more(runs_with_tables_, page.rows()));
    output_.write("\n" + cautions(page));
}

}  // namespace

std::unique_ptr<CheckWriter> check_text(Output& output, const CheckSubject& subject,
                                        const CheckTextOptions& options) {
    return std::make_unique<CheckText>(output, subject, options);
}

}  // namespace evenhead::io
