// `evenhead review CASE`: every run under every condition by every rule, what decides, what is lost when
// something is shut, how much is to spare, and what would mend it.
#include <memory>

#include "cli/progress.hpp"
#include "cli/readings.hpp"
#include "cli/reviewed.hpp"

namespace evenhead::cli {
namespace {

struct ReviewCommand {
    std::string path;
    ReviewQuestions questions;
    OutputOptions output;
};

Status review(const ReviewCommand& command) {
    const io::CaseReading reading = read_case_to_balance(command.path);
    const std::string& format = command.output.format;
    std::vector<std::string> files = reading.files;
    if (!command.questions.spreads.empty()) files.push_back(command.questions.spreads);
    refuse_to_overwrite(files, command.path, command.output.output);
    const model::Spreads spreads = take_spreads(command.questions.spreads);
    if (format != "text" && !command.questions.quiet) say_warnings(reading, command.path);

    io::Output output(command.output.output);
    ReviewQuestions questions = command.questions;
    questions.rules_only = format == "csv";
    const Reviewed reviewed = ask_review(*reading.system, reading.layout, questions, spreads);
    ProgressLine::erase();
    const io::ReviewSubject subject = reviewed.subject(
        {*reading.system, reading.layout, reading.warnings, reading.files, command.path}, spreads);
    if (format == "json")
        io::write_review_json(output, subject);
    else if (format == "csv")
        io::write_review_csv(output, subject);
    else
        io::write_review_text(output, subject, page_of(command.output, output));
    output.finish();
    if (!reviewed.found.solved()) return Status::no_solution;
    return reviewed.found.within_limits() ? Status::within_limits : Status::outside_limits;
}

}  // namespace

void add_review(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "review", "Take a layout through its conditions: what decides, what is to spare, what mends it");
    const auto command = std::make_shared<ReviewCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    add_output_options(*verb, command->output);
    add_threads_option(*verb, command->questions.threads);
    add_review_options(*verb, command->questions);
    verb->add_flag("--quiet", command->questions.quiet, "nothing on standard error but errors");
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
