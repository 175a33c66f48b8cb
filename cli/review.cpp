// `evenhead review CASE`: every run under every condition by every rule, what decides, what is lost when
// something is shut, how much is to spare, and what would mend it.
#include <cstdio>
#include <memory>
#include <optional>

#include "cli/progress.hpp"
#include "cli/readings.hpp"
#include "cli/verb.hpp"
#include "io/write/review.hpp"
#include "solver/review/review.hpp"

namespace evenhead::cli {
namespace {

struct ReviewCommand {
    std::string path, spreads;
    int threads = 0, samples = -1;  // -1: as many as serve
    unsigned seed = 1;
    bool quiet = false;
    OutputOptions output;
};

Status review(const ReviewCommand& command) {
    const io::CaseReading reading = read_case_to_balance(command.path);
    const model::System& system = *reading.system;
    std::vector<std::string> files = reading.files;
    if (!command.spreads.empty()) files.push_back(command.spreads);
    refuse_to_overwrite(files, command.path, command.output.output);
    const model::Spreads spreads = take_spreads(command.spreads);
    if (command.output.format != "text" && !command.quiet) say_warnings(reading, command.path);

    io::Output output(command.output.output);
    const bool whole = command.output.format != "csv";  // a table of rules and nothing else
    std::size_t asked = 0;
    std::optional<ProgressLine> progress;
    solver::ReviewOptions options;
    options.threads = command.threads;
    options.progress = [&](std::string_view what) {
        progress.emplace(!command.quiet, whole ? 6 : 4, std::string("questions: ") + std::string(what));
        progress->show(asked++);
    };
    const solver::Review found = solver::review(system, reading.layout, options);
    constexpr std::size_t most_runs = 60;  // of which the others have more to spare
    solver::HeadsOfRuns critical;
    std::vector<solver::HeadSensitivity> sensitivity;
    std::optional<solver::Chance> chance;
    if (whole) {
        options.progress("sensitivity");
        critical = solver::most_critical(found.rules.critical, most_runs);
        sensitivity = solver::find_sensitivity(system, reading.layout, critical.heads, command.threads);
    }
    if (command.samples != 0 && !critical.heads.empty()) {
        options.progress("chance");
        solver::ChanceOptions of_chance;
        of_chance.samples = command.samples < 0 ? solver::usual_samples(system) : command.samples;
        of_chance.seed = command.seed;
        of_chance.threads = command.threads;
        of_chance.spreads = &spreads;
        for (const solver::HeadOfRun& head : critical.heads) of_chance.runs.push_back(head.run);
        chance = solver::find_chance(system, reading.layout, of_chance);
    }
    ProgressLine::erase();

    const io::ReviewSubject subject{
        system,        reading.layout,        found,        reading.warnings,
        reading.files, command.path,          &sensitivity, chance ? &*chance : nullptr,
        &spreads,      critical.runs_left_out};
    if (command.output.format == "json")
        io::write_review_json(output, subject);
    else if (command.output.format == "csv")
        io::write_review_csv(output, subject);
    else
        io::write_review_text(output, subject, page_of(command.output, output));
    output.finish();
    if (!found.solved()) return Status::no_solution;
    return found.within_limits() ? Status::within_limits : Status::outside_limits;
}

}  // namespace

void add_review(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "review", "Take a layout through its conditions: what decides, what is to spare, what mends it");
    const auto command = std::make_shared<ReviewCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    add_output_options(*verb, command->output);
    add_threads_option(*verb, command->threads);
    verb->add_option(
            "--samples", command->samples,
            "draws for the chance of too little pressure (default 10,000, fewer of a very large system; "
            "0: leave it out)")
        ->check(CLI::Range(0, 10'000'000).description(""))
        ->type_name("N");
    verb->add_option("--seed", command->seed, "of the draws: the same seed, the same answer (default 1)")
        ->type_name("N");
    verb->add_option(
            "--spreads", command->spreads,
            "how far off each kind of number is where the case does not say, instead of the table built in")
        ->type_name("FILE");
    verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->footer(
        "Exit status 1: a rule fails under some condition. Conditions are those of the case (conditions = [ "
        "... ]);\n"
        "where it has none: supply 10 psi lower, and static highest, for ratings.\n"
        "Example: evenhead review shops.toml\n"
        "         evenhead review shops.toml --all --wide -o review.txt\n"
        "         evenhead review shops.toml --format json -o review.json");
    verb->callback([&action, command] { action = [command] { return review(*command); }; });
}

}  // namespace evenhead::cli
