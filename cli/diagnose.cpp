// `evenhead diagnose CASE [READINGS]`: from gauge readings to what is wrong, where, how sure that is, and
// what to read next.
#include <fmt/format.h>

#include <cstdio>
#include <memory>
#include <optional>

#include "cli/diagnosed.hpp"
#include "cli/progress.hpp"
#include "cli/readings.hpp"
#include "cli/verb.hpp"
#include "io/write/calibration.hpp"
#include "io/write/diagnosis.hpp"

namespace evenhead::cli {
namespace {

using model::Index;

struct DiagnoseCommand {
    std::string path, readings, run, priors, write;
    int threads = 0;
    bool no_pairs = false, quiet = false;
    OutputOptions output;
};

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

    DiagnosisQuestions questions;
    questions.threads = command.threads;
    questions.complaint = complaint;
    questions.priors = priors ? &*priors : nullptr;
    questions.pairs = !command.no_pairs;
    questions.quiet = command.quiet;
    questions.fitted = [&](const solver::Calibration& calibration) {
        if (!command.write.empty() && calibration.empty())
            throw UsageError(
                "--write: there is nothing to calibrate; give what is not known well with its spread, such "
                "as "
                "\"70 +- 3 psi\", or as \"?\"");
    };
    io::Output output(command.output.output);
    std::unique_ptr<Diagnosed> answer;
    try {
        answer = weigh(std::move(filled), questions);
    } catch (const std::invalid_argument& error) {
        ProgressLine::erase();
        std::fputs(fmt::format("evenhead: {}.\n", error.what()).c_str(), stderr);
        return Status::no_solution;
    }
    const solver::Diagnosis& found = *answer->found;
    if (found.survey.readings == 0) throw UsageError(std::string(no_reading_used));
    const solver::Calibration* open = answer->explained.empty() ? nullptr : &answer->explained;
    std::optional<io::RewrittenCase> written;
    if (!command.write.empty()) written = calibrated_case(command, answer->explained, stamp);
    const io::DiagnosisSubject subject{answer->calibration.system, found, command.path, open};
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
    return io::leads_as_drawn(found) ? Status::within_limits : Status::outside_limits;
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
