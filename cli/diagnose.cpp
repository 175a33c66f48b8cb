// `evenhead diagnose CASE [READINGS]`: from gauge readings to what is wrong, where, how sure that is, and
// what to read next.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <memory>
#include <optional>

#include "cli/progress.hpp"
#include "cli/verb.hpp"
#include "io/read/readings.hpp"
#include "io/write/diagnosis.hpp"
#include "io/write/sentences.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::cli {
namespace {

using model::Index;

struct DiagnoseCommand {
    std::string path, readings, run, priors;
    int threads = 0;
    bool no_pairs = false, quiet = false;
    OutputOptions output;
};

[[noreturn]] void refuse(const io::FileReading& reading, const std::string& path) {
    std::fputs(refusal_text(reading.errors, reading.files, path, "nothing was written").c_str(), stderr);
    throw CaseRefused();
}

void take_readings(const DiagnoseCommand& command, io::CaseReading& of) {
    if (!command.readings.empty()) {
        const io::FileReading reading = io::read_readings(command.readings, of);
        if (!reading.errors.empty()) refuse(reading, command.readings);
    }
    if (of.system->readings.empty())
        throw UsageError(
            fmt::format("{} has no readings to go by; write them into it (readings = [ {{ run = \"{}\", at = "
                        "\"{}\", pressure = 31 "
                        "}}, ... ]), or into a file of their own: evenhead diagnose CASE readings.csv, with "
                        "the columns run, at, "
                        "pressure, flow",
                        command.path, of.system->runs.front().id, of.system->points.back().id));
}

std::optional<model::FaultPriors> take_priors(const std::string& path) {
    std::optional<model::FaultPriors> priors;
    if (path.empty()) return priors;
    const io::FileReading reading = io::read_priors(path, priors);
    if (!reading.errors.empty()) refuse(reading, path);
    return priors;
}

/// A run that was read, or complained of, and that has no solution as drawn: it is said why.
bool say_unsolved(const model::System& system, const model::Layout& layout, Index complaint) {
    std::vector<Index> runs;
    const auto add = [&](Index run) {
        if (run != model::none && std::find(runs.begin(), runs.end(), run) == runs.end()) runs.push_back(run);
    };
    add(complaint);
    for (const model::Reading& reading : system.readings) add(reading.run);
    const io::Speaker speaker{system, io::ShownUnits::of_text(system)};
    for (const Index run : runs) {
        const auto result = solver::solve_run(system, layout, run);
        if (!result.failure) continue;
        std::string text =
            fmt::format("as drawn, run {} has no proven solution, so its readings say nothing yet:\n",
                        io::element_id(system, {solver::ElementKind::run, run}));
        for (const std::string& sentence : io::failure_sentences(speaker, *result.failure))
            text += "  " + sentence + "\n";
        std::fputs(("evenhead: " + text).c_str(), stderr);
        return true;
    }
    return false;
}

Status diagnose(const DiagnoseCommand& command) {
    io::CaseReading reading = read_case_to_balance(command.path);
    take_readings(command, reading);
    const std::optional<model::FaultPriors> priors = take_priors(command.priors);
    const model::System& system = *reading.system;
    std::vector<std::string> files = reading.files;
    for (const std::string& file : {command.readings, command.priors})
        if (!file.empty()) files.push_back(file);
    refuse_to_overwrite(files, command.path, command.output.output);

    solver::DiagnosisOptions options;
    options.threads = command.threads;
    options.priors = priors ? &*priors : nullptr;
    options.pairs = !command.no_pairs;
    if (!command.run.empty()) options.complaint = find_run(system, command.run);
    if (say_unsolved(system, reading.layout, options.complaint)) return Status::no_solution;

    io::Output output(command.output.output);
    ProgressLine progress(!command.quiet, 0, "places");
    options.progress = [&](std::size_t done, std::size_t total) {
        progress.show(done, total);
        return true;
    };
    std::optional<solver::Diagnosis> found;
    try {
        found = solver::diagnose(system, reading.layout, options);
    } catch (const std::invalid_argument& error) {
        progress.erase();
        std::fputs(fmt::format("evenhead: {}.\n", error.what()).c_str(), stderr);
        return Status::no_solution;
    }
    progress.erase();
    if (found->survey.readings == 0)
        throw UsageError(
            "none of the readings can be used: what stands in a pipe that is shut off is not known; read "
            "where water runs, or before a valve that is shut");
    const io::DiagnosisSubject subject{system, *found, command.path};
    if (command.output.format == "json")
        io::write_diagnosis_json(output, subject);
    else if (command.output.format == "csv")
        io::write_diagnosis_csv(output, subject);
    else
        io::write_diagnosis_text(output, subject, page_of(command.output, output));
    output.finish();
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
