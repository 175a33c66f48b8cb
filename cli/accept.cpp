// `evenhead accept CASE [READINGS]`: what was built against what was drawn, reading by reading.
#include <fmt/format.h>

#include <cstdio>
#include <memory>
#include <optional>
#include <stdexcept>

#include "cli/readings.hpp"
#include "cli/verb.hpp"
#include "io/write/acceptance.hpp"

namespace evenhead::cli {
namespace {

struct AcceptCommand {
    std::string path, readings, spreads;
    int threads = 0;
    OutputOptions output;
};

Status accept(const AcceptCommand& command) {
    io::CaseReading reading = read_case_to_balance(command.path);
    take_readings(command.readings, reading);
    const model::System& system = *reading.system;
    refuse_without_readings(system, command.path, "accept");
    std::vector<std::string> files = reading.files;
    for (const std::string& file : {command.readings, command.spreads})
        if (!file.empty()) files.push_back(file);
    const model::Spreads spreads = take_spreads(command.spreads);
    refuse_to_overwrite(files, command.path, command.output.output);
    if (say_unsolved(system, reading.layout, model::none)) return Status::no_solution;

    std::optional<solver::Acceptance> acceptance;
    try {
        acceptance = solver::accept_readings(system, reading.layout, {command.threads, &spreads});
    } catch (const std::invalid_argument& error) {
        std::fputs(fmt::format("evenhead: {}.\n", error.what()).c_str(), stderr);
        return Status::no_solution;
    }
    if (acceptance->readings.empty()) throw UsageError(std::string(no_reading_used));
    io::Output output(command.output.output);
    const io::AcceptanceSubject subject{system, *acceptance, spreads, command.path, command.readings};
    if (command.output.format == "json")
        io::write_acceptance_json(output, subject);
    else if (command.output.format == "csv")
        io::write_acceptance_csv(output, subject);
    else
        io::write_acceptance_text(output, subject, page_of(command.output, output));
    output.finish();
    return acceptance->accepted() ? Status::within_limits : Status::outside_limits;
}

}  // namespace

void add_accept(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "accept", "Predicted against measured: whether what was built is what was drawn");
    const auto command = std::make_shared<AcceptCommand>();
    verb->add_option("CASE", command->path, "the case as drawn, a TOML file")->required()->type_name("FILE");
    verb->add_option(
            "READINGS", command->readings,
            "what was read, in place of the case's own readings: a CSV file (run, at, pressure, flow, gauge, "
            "side), or a TOML file with the table readings")
        ->type_name("FILE");
    verb->add_option(
            "--spreads", command->spreads,
            "how far off each kind of number is where the case does not say, instead of the table built in")
        ->type_name("FILE");
    add_output_options(*verb, command->output);
    add_threads_option(*verb, command->threads);
    verb->footer(
        "Allowed between the two: two standard deviations of the reading (half of its spread; without one, "
        "of 2 psi, and of 6 % of a flow) and of what the case foretells there, together.\n"
        "Exit status 1: a reading is farther off; 3: a run that was read has no solution as drawn.\n"
        "Example: evenhead accept office.toml\n"
        "         evenhead accept office.toml handover.csv --format csv -o handover-judged.csv");
    verb->callback([&action, command] { action = [command] { return accept(*command); }; });
}

}  // namespace evenhead::cli
