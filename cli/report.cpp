// `evenhead report CASE -o report.html`: one page for people, to open in a browser or to print.
#include <memory>
#include <optional>

#include "cli/lower_supply.hpp"
#include "cli/verb.hpp"
#include "io/report/report.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::cli {
namespace {

struct ReportCommand {
    std::string path, run, output;
    int threads = 0;
    bool review = false;
};

Status report(const ReportCommand& command) {
    const io::CaseReading reading = read_case_to_balance(command.path);
    const model::System& system = *reading.system;
    solver::CheckOptions options;
    options.threads = command.threads;
    if (!command.run.empty()) options.only_run = find_run(system, command.run);
    refuse_to_overwrite(reading.files, command.path, command.output);

    io::Output output(command.output);
    const io::CheckSubject subject{system, reading.layout, reading.warnings, reading.files, command.path};
    std::optional<solver::Review> reviewed;
    if (command.review) {
        solver::ReviewOptions of_review;
        of_review.threads = command.threads;
        reviewed = solver::review(system, reading.layout, of_review);
    }
    const auto page = io::report_page(output, subject, reviewed ? &*reviewed : nullptr);
    const auto summary =
        solver::check_runs(system, reading.layout, options,
                           [&](const solver::RunResult& result, const solver::RunFindings& findings) {
                               page->add(result, findings);
                           });
    const auto lower = at_lower_supply(system, reading.layout, options);
    page->finish(summary, lower ? &*lower : nullptr);
    output.finish();
    return status_of(summary);
}

}  // namespace

void add_report(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "report",
        "One page to open in a browser or to print: plan, grade lines, worksheets, findings, tables");
    const auto command = std::make_shared<ReportCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    add_output_file_option(*verb, command->output);
    verb->add_option("--run", command->run, "this run only")->type_name("ID");
    verb->add_flag("--review", command->review,
                   "also what review finds: conditions, outages, margins, changes");
    add_threads_option(*verb, command->threads);
    verb->footer(
        "Exit status as of check: 0 within limits, 1 outside, 3 no solution could be proven.\n"
        "Example: evenhead report garden.toml -o report.html");
    verb->callback([&action, command] { action = [command] { return report(*command); }; });
}

}  // namespace evenhead::cli
