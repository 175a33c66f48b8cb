// `evenhead export CASE`: the system with its results for programs that show maps.
#include <fmt/format.h>

#include <cstdio>
#include <memory>

#include "cli/verb.hpp"
#include "io/geo/export.hpp"

namespace evenhead::cli {
namespace {

struct ExportCommand {
    std::string path, output, run;
    int threads = 0;
    bool quiet = false;
};

Status export_case(const ExportCommand& command) {
    const io::CaseReading reading = read_case_to_balance(command.path);
    const model::System& system = *reading.system;
    refuse_to_overwrite(reading.files, command.path, command.output);
    if (const io::MapFault fault = io::map_fault(system); !fault.text.empty())
        throw UsageError(fmt::format("{}: {}; {}", io::printable(command.path), fault.text, fault.mend));
    solver::CheckOptions options;
    options.threads = command.threads;
    if (!command.run.empty()) options.only_run = find_run(system, command.run);
    if (!command.quiet) say_warnings(reading, command.path);

    io::Output output(command.output);
    const io::Speaker speaker{system, io::ShownUnits::of_case(system.units)};
    io::GeoWriter writer(output, speaker, reading.layout, reading.watering, command.path);
    const auto summary =
        solver::check_runs(system, reading.layout, options,
                           [&](const solver::RunResult& result, const solver::RunFindings& findings) {
                               writer.add(result, findings);
                           });
    writer.finish(summary);
    if (!command.quiet)
        for (const std::string& what : writer.not_carried())
            std::fputs(fmt::format("{}: warning: {} do not go along: a case that import makes of it has the "
                                   "usual limits.\n  write them into it, or name the file there.\n",
                                   io::printable(command.path), what)
                           .c_str(),
                       stderr);
    output.finish();
    if (command.quiet || command.output.empty()) return status_of(summary);
    std::string words =
        fmt::format("Wrote {}: {}", io::printable(command.output), io::counted(writer.features(), "feature"));
    if (writer.without_place() > 0)
        words += fmt::format(", {} of them without coordinates", writer.without_place());
    if (!writer.every_run())
        words +=
            "; of points, pipes and devices the run that decides only, as there are very many (--run has "
            "all of one)";
    std::fputs((words + ".\n").c_str(), stdout);
    return status_of(summary);
}

}  // namespace

void add_export(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "export", "The system and its results as GeoJSON, for programs that show maps");
    const auto command = std::make_shared<ExportCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file with an origin")
        ->required()
        ->type_name("FILE");
    add_output_file_option(*verb, command->output);
    verb->add_option("--run", command->run, "results of this run only")->type_name("ID");
    add_threads_option(*verb, command->threads);
    verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->footer(
        "Longitude and latitude (WGS 84) follow from the case's origin by the plane that touches the earth "
        "there;\nwithin 1 km of it to a hundredth of a millimetre.\n"
        "Exit status as that of check; 2 where the case has no origin.\n"
        "Example: evenhead export garden.toml -o garden.geojson");
    verb->callback([&action, command] { action = [command] { return export_case(*command); }; });
}

}  // namespace evenhead::cli
