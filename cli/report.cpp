// `evenhead report CASE -o report.html`: one page for people, to open in a browser or to print.
#include <memory>
#include <optional>
#include <stdexcept>
#include <vector>

#include "cli/diagnosed.hpp"
#include "cli/lower_supply.hpp"
#include "cli/progress.hpp"
#include "cli/readings.hpp"
#include "cli/reviewed.hpp"
#include "cli/takeoff_options.hpp"
#include "io/crew/sheets.hpp"
#include "io/report/report.hpp"
#include "io/write/timetable.hpp"
#include "solver/acceptance/acceptance.hpp"
#include "solver/coverage/coverage.hpp"
#include "solver/network/network.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::cli {
namespace {

using model::Index;

struct ReportCommand {
    std::string path, readings, run, compare, output;
    std::vector<std::string> controllers;  ///< of the sheets
    ReviewQuestions questions;
    bool review = false, accept = false, timetable = false, sheets = false;
};

/// What the readings tell, and what is not known of the case without them; it must outlive the page.
struct Weighed {
    std::unique_ptr<Diagnosed> answer;
    std::string why_not;  ///< a sentence; empty: `answer` is there, or nobody asked
};

/// Weighs the readings; where that cannot be done, the page says why and has everything else.
Weighed weigh_readings(const ReportCommand& command, solver::Filled filled, Index complaint) {
    Weighed weighed;
    for (const std::string& sentence : unsolved_readings(filled.system, filled.layout, complaint))
        weighed.why_not += (weighed.why_not.empty() ? "" : " ") + sentence;
    if (!weighed.why_not.empty()) return weighed;
    DiagnosisQuestions questions;
    questions.threads = command.questions.threads;
    questions.complaint = complaint;
    questions.quiet = command.questions.quiet;
    try {
        weighed.answer = weigh(std::move(filled), questions);
    } catch (const std::invalid_argument& error) {
        weighed.why_not = std::string(error.what()) + ".";
        return weighed;
    }
    if (weighed.answer->found->survey.readings == 0) weighed.why_not = std::string(no_reading_used) + ".";
    return weighed;
}

/// Empty where they cannot be judged; `why_not` then says why.
std::optional<solver::Acceptance> judge_readings(const model::System& system, const model::Layout& layout,
                                                 const solver::AcceptOptions& options, bool filled,
                                                 std::string& why_not) {
    if (filled) {
        why_not = "values that the case leaves as \"?\" were fitted to these readings.";
        return std::nullopt;
    }
    try {
        solver::Acceptance acceptance = solver::accept_readings(system, layout, options);
        if (!acceptance.readings.empty()) return acceptance;
        why_not = std::string(no_reading_used) + ".";
    } catch (const std::invalid_argument& error) {
        why_not = std::string(error.what()) + ".";
    }
    return std::nullopt;
}

solver::Timetable plan_nights(const ReportCommand& command, const io::CaseReading& reading,
                              const model::System& system, const model::Layout& layout) {
    ProgressLine progress(!command.questions.quiet, 0, "");
    solver::TimetableOptions options;
    options.threads = command.questions.threads;
    options.progress = [&](const std::string& words) { progress.show(words); };
    solver::TimetableOrIssues made = solver::make_timetable(system, layout, reading.watering, options);
    ProgressLine::erase();
    if (!made.issues.empty()) refuse(made.issues, reading.files, command.path);
    return std::move(made.timetable);
}

/// Every one of the crew's sheets, by the tables that ship.
std::vector<io::CrewSheet> crew_sheets_of(const ReportCommand& command, const model::System& system,
                                          const model::Layout& layout) {
    const model::TakeoffRules& rules = model::takeoff_rules();
    const model::Takeoff takeoff =
        model::take_off(system, layout, rules, wires_from(command.controllers, system));
    const solver::Commissioning measured = solver::commissioning(system, layout, command.questions.threads);
    const io::Speaker speaker{system, io::ShownUnits::of_text(system)};
    const auto& names = io::sheet_names_of_crew();
    return io::crew_sheets({speaker, layout, takeoff, rules, model::crew_table(), command.path, &measured},
                           {names.begin(), names.end()});
}

/// The case with its readings, filled where it leaves values open and readings tell of them.
io::CaseReading read_case_and_readings(const ReportCommand& command, std::optional<solver::Filled>& filled) {
    io::CaseReading reading = read_case_or_refuse(command.path);
    take_readings(command.readings, reading);
    const std::vector<model::Issue> unknown = solver::unknown_values(*reading.system);
    if (command.accept) refuse_without_readings(*reading.system, command.path, "report");
    if (reading.system->readings.empty()) {
        if (!unknown.empty()) refuse(unknown, reading.files, command.path);
        return reading;
    }
    filled = filled_or_refuse(reading, command.path);
    return reading;
}

Status report(const ReportCommand& command) {
    std::optional<solver::Filled> filled;
    const io::CaseReading reading = read_case_and_readings(command, filled);
    const bool open = !solver::unknown_values(*reading.system).empty();
    std::optional<io::CaseReading> built;
    if (!command.compare.empty()) built = read_case_to_balance(command.compare);
    solver::CheckOptions options;
    options.threads = command.questions.threads;
    if (!command.run.empty()) options.only_run = find_run(*reading.system, command.run);
    std::vector<std::string> files = reading.files;
    for (const std::string& file : {command.readings, command.questions.spreads})
        if (!file.empty()) files.push_back(file);
    refuse_to_overwrite(files, command.path, command.output);
    if (built) refuse_to_overwrite(built->files, command.compare, command.output);
    const model::Spreads spreads = take_spreads(command.questions.spreads);

    Weighed weighed;
    const std::optional<solver::Filled> unfitted = open ? filled : std::nullopt;
    if (filled) weighed = weigh_readings(command, std::move(*filled), options.only_run);
    // The page is of the case as drawn; where that leaves values open, of what fits the readings, else of
    // what is usual.
    const model::System& system = !open            ? *reading.system
                                  : weighed.answer ? weighed.answer->explained.system
                                                   : unfitted->system;
    const model::Layout& layout = !open            ? reading.layout
                                  : weighed.answer ? weighed.answer->explained.layout
                                                   : unfitted->layout;
    io::ReportReadings readings;
    readings.not_weighed = weighed.why_not;
    readings.filled = open;
    if (weighed.answer) {
        if (weighed.why_not.empty()) readings.diagnosis = &*weighed.answer->found;
        readings.calibration = &weighed.answer->explained;
    }

    io::Output output(command.output);
    const io::CheckSubject subject{system, layout, reading.warnings, reading.files, command.path};
    io::ReportAnswers answers;
    std::optional<Reviewed> reviewed;
    std::optional<io::ReviewSubject> review_subject;
    if (command.review) {
        reviewed = ask_review(system, layout, command.questions, spreads);
        review_subject.emplace(reviewed->subject(subject, spreads));
        answers.review = &*review_subject;
    }
    std::optional<solver::Acceptance> acceptance;
    std::optional<io::AcceptanceSubject> accepted;
    if (command.accept) {
        acceptance =
            judge_readings(system, layout, {command.questions.threads, &spreads}, open, answers.not_judged);
        if (acceptance)
            accepted.emplace(
                io::AcceptanceSubject{system, *acceptance, spreads, command.path, command.readings});
        answers.acceptance = accepted ? &*accepted : nullptr;
    }
    std::optional<solver::Comparison> comparison;
    std::optional<io::ComparisonSubject> compared;
    if (built) {
        comparison =
            solver::compare(system, layout, *built->system, built->layout, command.questions.threads);
        compared.emplace(
            io::ComparisonSubject{system, *built->system, *comparison, command.path, command.compare});
        answers.comparison = &*compared;
    }
    solver::CoverageOptions of_coverage;
    of_coverage.threads = command.questions.threads;
    std::vector<solver::ZoneCoverage> watered = solver::cover(system, layout, of_coverage);
    if (options.only_run != model::none)
        std::erase_if(watered, [&](const auto& zone) { return zone.run != options.only_run; });
    answers.coverage = &watered;
    std::optional<solver::Timetable> planned;
    std::optional<io::TimetableSubject> timetable;
    if (command.timetable) {
        planned = plan_nights(command, reading, system, layout);
        timetable.emplace(io::TimetableSubject{system, reading.watering, *planned, command.path});
        answers.timetable = &*timetable;
    }
    std::optional<std::vector<io::CrewSheet>> sheets;
    if (command.sheets) {
        sheets = crew_sheets_of(command, system, layout);
        answers.sheets = &*sheets;
    }
    ProgressLine::erase();
    const auto page = io::report_page(output, subject, readings, answers);
    const auto summary = solver::check_runs(
        system, layout, options, [&](const solver::RunResult& result, const solver::RunFindings& findings) {
            page->add(result, findings);
        });
    const auto lower = at_lower_supply(system, layout, options);
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
                   "also what review finds: conditions, outages, margins, changes, what the pressure hangs "
                   "on, the chance of too little");
    verb->add_flag("--accept", command->accept,
                   "also whether the readings are what the case foretells, as accept judges them");
    verb->add_option("--compare", command->compare,
                     "also what differs in this case as built, and what that does")
        ->type_name("BUILT");
    verb->add_flag("--timetable", command->timetable,
                   "also who waters when, with the flow over time, as timetable finds it");
    CLI::Option* sheets = verb->add_flag(
        "--sheets", command->sheets, "also the crew's sheets, each a printed page, as sheets writes them");
    add_controller_option(*verb, command->controllers)->needs(sheets);
    add_review_options(*verb, command->questions);
    add_threads_option(*verb, command->questions.threads);
    verb->add_flag("--quiet", command->questions.quiet, "nothing on standard error but errors");
    verb->footer(
        "Exit status as of check: 0 within limits, 1 outside, 3 no solution could be proven.\n"
        "Example: evenhead report garden.toml -o report.html\n"
        "         evenhead report office.toml monday.csv -o report.html\n"
        "         evenhead report drawn.toml handover.csv --accept --compare built.toml -o report.html");
    verb->callback([&action, command] { action = [command] { return report(*command); }; });
}

}  // namespace evenhead::cli
