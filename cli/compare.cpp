// `evenhead compare DRAWN BUILT`: what differs between two cases, and what it does to the heads that decide.
#include <fmt/format.h>

#include <memory>

#include "cli/verb.hpp"
#include "io/write/comparison.hpp"

namespace evenhead::cli {
namespace {

struct CompareCommand {
    std::string drawn, built;
    int threads = 0;
    OutputOptions output;
};

Status compare(const CompareCommand& command) {
    const io::CaseReading drawn = read_case_to_balance(command.drawn),
                          built = read_case_to_balance(command.built);
    refuse_to_overwrite(drawn.files, command.drawn, command.output.output);
    refuse_to_overwrite(built.files, command.built, command.output.output);
    const solver::Comparison comparison =
        solver::compare(*drawn.system, drawn.layout, *built.system, built.layout, command.threads);
    io::Output output(command.output.output);
    const io::ComparisonSubject subject{*drawn.system, *built.system, comparison, command.drawn,
                                        command.built};
    if (command.output.format == "json")
        io::write_comparison_json(output, subject);
    else if (command.output.format == "csv")
        io::write_comparison_csv(output, subject);
    else
        io::write_comparison_text(output, subject, page_of(command.output, output));
    output.finish();
    return comparison.changes.empty() ? Status::within_limits : Status::outside_limits;
}

}  // namespace

void add_compare(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "compare",
        "Drawn against built: what differs, and what each difference does to the heads that decide");
    const auto command = std::make_shared<CompareCommand>();
    verb->add_option("DRAWN", command->drawn, "the case as drawn, a TOML file")
        ->required()
        ->type_name("FILE");
    verb->add_option("BUILT", command->built, "the case as built, a TOML file")
        ->required()
        ->type_name("FILE");
    add_output_options(*verb, command->output);
    add_threads_option(*verb, command->threads);
    verb->footer(
        "Rows are matched by their ids, pipes without one by their ends. Each change is made alone in the "
        "case as "
        "drawn, and balanced.\n"
        "Exit status 0: nothing differs; 1: something does.\n"
        "Example: evenhead compare drawn.toml built.toml\n"
        "         evenhead compare drawn.toml built.toml --format csv -o changes.csv");
    verb->callback([&action, command] { action = [command] { return compare(*command); }; });
}

}  // namespace evenhead::cli
