// `evenhead report CASE -o report.html`: one page for people, to open in a browser or to print.
#include <memory>
#include <optional>
#include <stdexcept>
#include <vector>

#include "cli/lower_supply.hpp"
#include "cli/progress.hpp"
#include "cli/readings.hpp"
#include "cli/verb.hpp"
#include "io/report/report.hpp"
#include "io/write/timetable.hpp"
#include "solver/coverage/coverage.hpp"
#include "solver/diagnosis/diagnosis.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::cli {
namespace {

using model::Index;

struct ReportCommand {
    std::string path, readings, run, output;
    int threads = 0;
    bool review = false, timetable = false, quiet = false;
};

/// Weighs the readings; where that cannot be done, the page says why and has everything else.
io::ReportReadings weigh_readings(const ReportCommand& command, const io::CaseReading& reading,
                                  Index complaint, std::optional<solver::Diagnosis>& found) {
    io::ReportReadings weighed;
    const model::System& system = *reading.system;
    if (system.readings.empty()) return weighed;
    for (const std::string& sentence : unsolved_readings(system, reading.layout, complaint))
        weighed.not_weighed += (weighed.not_weighed.empty() ? "" : " ") + sentence;
    if (!weighed.not_weighed.empty()) return weighed;
    ProgressLine progress(!command.quiet, 0, "places");
    solver::DiagnosisOptions options;
    options.threads = command.threads;
    options.complaint = complaint;
    options.progress = [&](std::size_t done, std::size_t total) {
        progress.show(done, total);
        return true;
    };
    options.before_pairs = [&] { progress.say("two faults at once"); };
    try {
        found = solver::diagnose(system, reading.layout, options);
    } catch (const std::invalid_argument& error) {
        weighed.not_weighed = std::string(error.what()) + ".";
        return weighed;
    }
    if (found->survey.readings == 0)
        weighed.not_weighed = std::string(no_reading_used) + ".";
    else
        weighed.diagnosis = &*found;
    return weighed;
}

solver::Timetable plan_nights(const ReportCommand& command, const io::CaseReading& reading) {
    ProgressLine progress(!command.quiet, 0, "");
    solver::TimetableOptions options;
    options.threads = command.threads;
    options.progress = [&](const std::string& words) { progress.show(words); };
    solver::TimetableOrIssues made =
        solver::make_timetable(*reading.system, reading.layout, reading.watering, options);
    progress.erase();
    if (!made.issues.empty()) refuse(made.issues, reading.files, command.path);
    return std::move(made.timetable);
}

Status report(const ReportCommand& command) {
    io::CaseReading reading = read_case_to_balance(command.path);
    take_readings(command.readings, reading);
    const model::System& system = *reading.system;
    solver::CheckOptions options;
    options.threads = command.threads;
    if (!command.run.empty()) options.only_run = find_run(system, command.run);
    std::vector<std::string> files = reading.files;
    if (!command.readings.empty()) files.push_back(command.readings);
    refuse_to_overwrite(files, command.path, command.output);
    std::optional<solver::Diagnosis> found;
    const io::ReportReadings readings = weigh_readings(command, reading, options.only_run, found);

    io::Output output(command.output);
    const io::CheckSubject subject{system, reading.layout, reading.warnings, reading.files, command.path};
    std::optional<solver::Review> reviewed;
    if (command.review) {
        solver::ReviewOptions of_review;
        of_review.threads = command.threads;
        reviewed = solver::review(system, reading.layout, of_review);
    }
    solver::CoverageOptions of_coverage;
    of_coverage.threads = command.threads;
    std::vector<solver::ZoneCoverage> watered = solver::cover(system, reading.layout, of_coverage);
    if (options.only_run != model::none)
        std::erase_if(watered, [&](const auto& zone) { return zone.run != options.only_run; });
    std::optional<solver::Timetable> planned;
    std::optional<io::TimetableSubject> timetable;
    if (command.timetable) {
        planned = plan_nights(command, reading);
        timetable.emplace(io::TimetableSubject{system, reading.watering, *planned, command.path});
    }
    const auto page = io::report_page(output, subject, readings, reviewed ? &*reviewed : nullptr, &watered,
                                      timetable ? &*timetable : nullptr);
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
    CLI::App* verb = program.add_subcommand("report",
                                            "One page to open in a browser or to print: plan, grade lines, "
                                            "worksheets, findings, tables; and what the "
                                            "readings say is wrong, where there are any");
    const auto command = std::make_shared<ReportCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    verb->add_option("READINGS", command->readings,
                     "what was read on site, in place of the case's own readings: as diagnose takes it")
        ->type_name("FILE");
    add_output_file_option(*verb, command->output);
    verb->add_option("--run", command->run, "this run only")->type_name("ID");
    verb->add_flag("--review", command->review,
                   "also what review finds: conditions, outages, margins, changes");
    verb->add_flag("--timetable", command->timetable,
                   "also who waters when, with the flow over time, as timetable finds it");
    add_threads_option(*verb, command->threads);
    verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->footer(
        "Exit status as of check: 0 within limits, 1 outside, 3 no solution could be proven.\n"
        "Example: evenhead report garden.toml -o report.html\n"
        "         evenhead report office.toml monday.csv -o report.html");
    verb->callback([&action, command] { action = [command] { return report(*command); }; });
}

}  // namespace evenhead::cli
