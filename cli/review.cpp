// `evenhead review CASE`: every run under every condition by every rule, what decides, what is lost when
// something is shut, how much is to spare, and what would mend it.
#include <cstdio>
#include <memory>
#include <optional>

#include "cli/progress.hpp"
#include "cli/verb.hpp"
#include "io/write/review.hpp"
#include "solver/review/review.hpp"

namespace evenhead::cli {
namespace {

struct ReviewCommand {
    std::string path;
    int threads = 0;
    bool quiet = false;
    OutputOptions output;
};

Status review(const ReviewCommand& command) {
    const io::CaseReading reading = read_case_to_balance(command.path);
    const model::System& system = *reading.system;
    refuse_to_overwrite(reading.files, command.path, command.output.output);
    if (command.output.format != "text" && !command.quiet) say_warnings(reading, command.path);

    io::Output output(command.output.output);
    std::size_t asked = 0;
    std::optional<ProgressLine> progress;
    solver::ReviewOptions options;
    options.threads = command.threads;
    options.progress = [&](std::string_view what) {
        progress.emplace(!command.quiet, 4, std::string("questions: ") + std::string(what));
        progress->show(asked++);
    };
    const solver::Review found = solver::review(system, reading.layout, options);
    // The place of the questions of sensitivity and chance.
    ProgressLine::erase();

    const io::ReviewSubject subject{system,           reading.layout, found,
                                    reading.warnings, reading.files,  command.path};
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
