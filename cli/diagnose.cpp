// `evenhead diagnose CASE [READINGS]`: from gauge readings to what is wrong, where, how sure that is, and
// what to read next.
#include <fmt/format.h>

#include <cstdio>
#include <memory>
#include <optional>

#include "cli/progress.hpp"
#include "cli/readings.hpp"
#include "cli/verb.hpp"
#include "io/write/calibration.hpp"
#include "io/write/diagnosis.hpp"
#include "io/write/diagnosis_tables.hpp"
#include "solver/network/network.hpp"

namespace evenhead::cli {
namespace {

using model::Index;

struct DiagnoseCommand {
    std::string path, readings, run, priors, write;
    int threads = 0;
    bool no_pairs = false, quiet = false;
    OutputOptions output;
};

/// The case with every "?" that readings may tell of filled; what else is not known is refused.
solver::Filled filled_or_refuse(const io::CaseReading& reading, const std::string& path) {
    solver::Filled filled = solver::fill_open_values(*reading.system, reading.layout);
    const std::vector<model::Issue> unknown = solver::unknown_values(filled.system);
    if (!unknown.empty()) refuse(unknown, reading.files, path);
    return filled;
}

/// The case with what the readings determine, not yet written.
io::RewrittenCase calibrated_case(const DiagnoseCommand& command, const solver::Calibration& calibration,
                                  const io::CaseStamp& stamp) {
    try {
        return io::rewrite_case(command.path, command.write,
                                io::calibration_edits(calibration.system, calibration), &stamp);
    } catch (const io::RewriteError& error) {
        throw UsageError(fmt::format("--write: {}", error.what()));
    }
}

void say_written(const DiagnoseCommand& command, const io::RewrittenCase& written) {
    if (command.quiet) return;
    std::string text = fmt::format("Wrote {}; everything that the readings do not determine is as it was.\n",
                                   io::printable(command.write));
    for (const io::CellEdit& edit : written.left_out)
        text += fmt::format("Not written, as it has no cell of its own: {} = {} ({}, line {}).\n", edit.key,
                            edit.value, edit.table, edit.row.line);
    std::fputs(text.c_str(), stderr);
}

/// What the readings say of what the case leaves open if the leading explanation is true.
solver::Calibration under_explanation(solver::Filled filled, const solver::Calibration& drawn,
                                      const solver::Diagnosis& found, const model::FaultPriors* priors,
                                      const DiagnoseCommand& command) {
    const solver::Hypothesis* leading = io::leading_explanation(found);
    if (drawn.empty() || leading == nullptr || leading->faults.empty() || io::leads_unexplained(found) ||
        !solver::can_calibrate(*leading))
        return drawn;
    solver::CalibrationOptions options;
    options.threads = command.threads;
    options.explanation = leading;
    options.survey = &found.survey;
    options.priors = priors;
    try {
        return solver::calibrate(std::move(filled), options);
    } catch (const std::invalid_argument&) {  // with the fault built in there is no solution to fit by
        return drawn;
    }
}

Status diagnose(const DiagnoseCommand& command) {
    io::CaseReading reading = read_case_or_refuse(command.path);
    const io::CaseStamp stamp(command.path, reading.files);
    take_readings(command.readings, reading);
    refuse_without_readings(*reading.system, command.path, "diagnose");
    solver::Filled filled = filled_or_refuse(reading, command.path);
    const std::optional<model::FaultPriors> priors = take_priors(command.priors);
    std::vector<std::string> files = reading.files;
    for (const std::string& file : {command.readings, command.priors})
        if (!file.empty()) files.push_back(file);
    refuse_to_overwrite(files, command.path, command.output.output);
    refuse_to_overwrite(files, command.path, command.write, "--write");
    if (!command.write.empty() && command.write == command.output.output)
        throw UsageError("--output and --write name the same file; the one would go over the other");
    const Index complaint = command.run.empty() ? model::none : find_run(*reading.system, command.run);
    if (say_unsolved(filled.system, filled.layout, complaint)) return Status::no_solution;

    ProgressLine progress(!command.quiet, 0, "places");
    std::optional<solver::Calibration> calibration;
    try {
        calibration = solver::calibrate(filled, {command.threads, complaint, nullptr, nullptr, nullptr});
    } catch (const std::invalid_argument& error) {
        std::fputs(fmt::format("evenhead: {}.\n", error.what()).c_str(), stderr);
        return Status::no_solution;
    }
    if (!command.write.empty() && calibration->empty())
        throw UsageError(
            "--write: there is nothing to calibrate; give what is not known well with its spread, such as "
            "\"70 +- 3 psi\", or as \"?\"");
    const model::System& system = calibration->system;

    solver::DiagnosisOptions options;
    options.threads = command.threads;
    options.priors = priors ? &*priors : nullptr;
    options.pairs = !command.no_pairs;
    options.complaint = complaint;

    io::Output output(command.output.output);
    options.progress = [&](std::size_t done, std::size_t total) {
        progress.show(done, total);
        return true;
    };
    options.before_pairs = [&] { progress.say("two faults at once"); };
    std::optional<solver::Diagnosis> found;
    try {
        found = solver::diagnose(system, calibration->layout, options);
    } catch (const std::invalid_argument& error) {
        progress.erase();
        std::fputs(fmt::format("evenhead: {}.\n", error.what()).c_str(), stderr);
        return Status::no_solution;
    }
    progress.erase();
    if (found->survey.readings == 0) throw UsageError(std::string(no_reading_used));
    const solver::Calibration explained =
        under_explanation(std::move(filled), *calibration, *found, options.priors, command);
    const solver::Calibration* open = explained.empty() ? nullptr : &explained;
    std::optional<io::RewrittenCase> written;
    if (!command.write.empty()) written = calibrated_case(command, explained, stamp);
    const io::DiagnosisSubject subject{system, *found, command.path, open};
    if (command.output.format == "json")
        io::write_diagnosis_json(output, subject);
    else if (command.output.format == "csv")
        io::write_diagnosis_csv(output, subject);
    else
        io::write_diagnosis_text(output, subject, page_of(command.output, output));
    output.finish();
    if (written) {
        io::write_case(written->files);
        say_written(command, *written);
    }
    return io::leads_as_drawn(*found) ? Status::within_limits : Status::outside_limits;
}

}  // namespace

void add_diagnose(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "diagnose", "From gauge readings to what is wrong, where, how sure that is, and what to read next");
    const auto command = std::make_shared<DiagnoseCommand>();
    verb->add_option("CASE", command->path, "the case as drawn, a TOML file")->required()->type_name("FILE");
    verb->add_option(
            "READINGS", command->readings,
            "what was read, in place of the case's own readings: a CSV file (run, at, pressure, flow, gauge, "
            "side), or a TOML file with the tables readings and seen")
        ->type_name("FILE");
    verb->add_option("--run", command->run, "the run complained of (default: the first that was read)")
        ->type_name("ID");
    verb->add_option("--priors", command->priors,
                     "how often each fault occurs, and how badly, instead of the table built in")
        ->type_name("FILE");
    verb->add_flag("--no-pairs", command->no_pairs, "look for one fault only, not for two at once");
    add_output_options(*verb, command->output);
    verb->add_option(
            "--write", command->write,
            "the case once more, with the values that the readings determine in place of \"?\" and of "
            "those with a spread")
        ->type_name("FILE");
    add_threads_option(*verb, command->threads);
    verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->footer(
        "Exit status 0: all is as drawn; 1: something is wrong; 3: a run that was read has no solution as "
        "drawn.\n"
        "Example: evenhead diagnose office.toml\n"
        "         evenhead diagnose office.toml monday.csv --run north\n"
        "         evenhead diagnose office.toml monday.csv --format json -o monday.json");
    verb->callback([&action, command] { action = [command] { return diagnose(*command); }; });
}

}  // namespace evenhead::cli
