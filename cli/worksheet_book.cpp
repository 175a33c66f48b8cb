// `evenhead worksheet CASE -o FILE.xlsx`: a workbook of the critical heads of all runs.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "cli/worksheet_command.hpp"
#include "io/write/check.hpp"
#include "io/write/check_answer.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::cli {
namespace {

/// A workbook of thousands of sheets serves nobody: the summary tells the numbers of the other runs.
constexpr std::size_t most_sheets = 60;

/// Runs without a solution first, then the least margin; those that want nothing, and those without a head,
/// last.
int rank(const io::WorkbookRun& run) {
    if (run.failure) return 0;
    if (run.head == model::none) return 3;
    return std::isnan(run.margin) ? 2 : 1;
}

bool worse(const io::WorkbookRun& one, const io::WorkbookRun& other) {
    const int left = rank(one), right = rank(other);
    if (left != right) return left < right;
    return left == 1 && one.margin < other.margin;
}

io::WorkbookRun summarised(const solver::RunResult& result, const solver::RunFindings& findings) {
    io::WorkbookRun run;
    run.run = result.run;
    run.failure = result.failure;
    if (result.failure) return run;
    run.flow = result.flow;
    run.head = findings.critical_head;
    run.margin = findings.critical_margin;
    if (run.head != model::none) run.pressure = result.head_pressure[static_cast<std::size_t>(run.head)];
    run.outside =
        static_cast<std::size_t>(std::count_if(findings.findings.begin(), findings.findings.end(),
                                               [](const solver::Finding& found) { return found.fails; }));
    return run;
}

}  // namespace

Status worksheet_of_every_run(const WorksheetCommand& command, const io::CaseReading& reading) {
    const model::System& system = *reading.system;
    if (system.heads.empty()) throw UsageError("this case has no heads, so there is no way to one to follow");
    if (command.verbose) say_warnings(reading, command.path);
    const io::Speaker speaker{system, io::ShownUnits::of_text(system)};
    solver::CheckOptions options;
    options.threads = command.threads;
    options.record_steps = command.verbose;
    std::vector<io::WorkbookRun> runs;
    solver::check_runs(system, reading.layout, options,
                       [&](const solver::RunResult& result, const solver::RunFindings& findings) {
                           runs.push_back(summarised(result, findings));
                           if (command.verbose) std::fputs(io::steps_text(speaker, result).c_str(), stderr);
                       });
    std::stable_sort(runs.begin(), runs.end(), worse);
    const bool any = std::any_of(runs.begin(), runs.end(), [](const io::WorkbookRun& run) {
        return run.failure || run.head != model::none;
    });
    if (!any) throw UsageError("no head runs, so there is no way to one to follow");

    std::vector<io::WorkbookSheet> sheets;
    std::size_t failed = 0;
    bool enough = true;
    for (const io::WorkbookRun& run : runs) {
        if (run.failure) ++failed;
        if (run.failure || run.head == model::none) continue;
        enough = enough && !(run.margin < 0);
        if (sheets.size() == most_sheets) continue;
        const solver::RunResult result = solver::solve_run(system, reading.layout, run.run);
        sheets.push_back(workbook_sheet(result,
                                        solver::make_worksheet(system, reading.layout, result, run.head),
                                        {"The critical head of this run."}));
    }
    io::Output output(command.output.output);
    io::write_workbook(output, {speaker, reading.layout, reading.warnings, reading.files}, runs, sheets);
    output.finish();
    if (!command.quiet)
        std::fputs(
            fmt::format("Wrote {}: a summary of {}, and a sheet for {}.\n",
                        io::printable(command.output.output), io::counted(runs.size(), "run"),
                        sheets.size() < runs.size() ? fmt::format("{} of them", sheets.size()) : "each")
                .c_str(),
            stderr);
    if (failed > 0 && !command.quiet)
        std::fputs(fmt::format("evenhead: {} of {} without a proven solution: see the summary, or check.\n",
                               failed, io::counted(runs.size(), "run"))
                       .c_str(),
                   stderr);
    if (failed > 0) return Status::no_solution;
    return enough ? Status::within_limits : Status::outside_limits;
}

}  // namespace evenhead::cli
