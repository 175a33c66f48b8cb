// `evenhead together CASE`: which valves may be open at once within limits.
#include <fmt/format.h>

#include <memory>

#include "cli/progress.hpp"
#include "cli/verb.hpp"
#include "io/write/together.hpp"

namespace evenhead::cli {
namespace {

struct TogetherCommand {
    std::string path, table = "sets";
    solver::TogetherOptions options;
    bool quiet = false;
    OutputOptions output;
};

Status together(TogetherCommand command) {
    const io::CaseReading reading = read_case_to_balance(command.path);
    const model::System& system = *reading.system;
    refuse_to_overwrite(reading.files, command.path, command.output.output);
    if (!command.quiet && command.output.format != "json") say_warnings(reading, command.path);
    solver::Together found;
    {
        ProgressLine line(!command.quiet, 0, "");
        command.options.progress = [&](std::size_t tried, std::size_t valves) {
            line.show(fmt::format("{} sets tried, now of {} valves", tried, valves));
        };
        found = solver::find_together(system, reading.layout, command.options);
    }
    io::Output output(command.output.output);
    const io::TogetherSubject subject{system, found, command.path, &reading.warnings, &reading.files};
    if (command.output.format == "json")
        io::write_together_json(output, subject);
    else if (command.output.format == "csv")
        io::write_together_csv(output, subject,
                               command.table == "sets"      ? io::TogetherTable::sets
                               : command.table == "blocked" ? io::TogetherTable::blocked
                                                            : io::TogetherTable::branches);
    else
        io::write_together_text(output, subject, page_of(command.output, output));
    output.finish();
    if (found.alone_unsolved) return Status::no_solution;
    return found.never.empty() ? Status::within_limits : Status::outside_limits;
}

}  // namespace

void add_together(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "together", "Which valves may be open at once within limits, and what the mainline then carries");
    const auto command = std::make_shared<TogetherCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    verb->add_option("--most", command->options.most,
                     "how many sets of valves to balance at most; the answer says what that leaves out")
        ->check(CLI::Range(1L, 100'000'000L).description(""))
        ->type_name("N")
        ->default_str("50000");
    verb->add_option("--table", command->table, "the table that csv prints")
        ->check(CLI::IsMember({"sets", "blocked", "branches"}).description(""))
        ->type_name("sets|blocked|branches")
        ->default_str("sets");
    add_output_options(*verb, command->output);
    add_threads_option(*verb, command->options.threads);
    verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->footer(
        "Every set of valves that is named, allowed or blocked, was balanced and judged by every rule.\n"
        "Exit status 1: a valve is in no set within limits; 3: a valve alone has no solution.\n"
        "Example: evenhead together park.toml\n"
        "         evenhead together park.toml --format csv --table blocked -o blocked.csv");
    verb->callback([&action, command] { action = [command] { return together(*command); }; });
}

}  // namespace evenhead::cli
