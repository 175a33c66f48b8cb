// `evenhead check CASE`: every run balanced, and what is outside limits. Many cases: check_many.cpp.
#include <cstdio>
#include <memory>

#include "cli/check_command.hpp"
#include "cli/lower_supply.hpp"
#include "io/write/check.hpp"
#include "io/write/check_answer.hpp"

namespace evenhead::cli {
namespace {

io::CheckTable table_of(const std::string& word) {
    using io::CheckTable;
    for (const auto& [name, table] : {std::pair{"runs", CheckTable::runs},
                                      {"heads", CheckTable::heads},
                                      {"points", CheckTable::points},
                                      {"pipes", CheckTable::pipes},
                                      {"devices", CheckTable::devices},
                                      {"valves", CheckTable::valves}})
        if (word == name) return table;
    return CheckTable::findings;
}

std::unique_ptr<io::CheckWriter> writer_of(const CheckCommand& command, const io::CheckSubject& subject,
                                           io::Output& output) {
    if (command.output.format == "json")
        return io::check_json(output, subject, detail_of(command.detail, io::Detail::all));
    if (command.output.format == "csv")
        return io::check_csv(output, subject, detail_of(command.detail, io::Detail::all),
                             table_of(command.table));
    io::CheckTextOptions options;
    options.page = page_of(command.output, output);
    options.verdict_only = command.quiet;
    options.tables = detail_of(command.detail, io::Detail::summary);
    return io::check_text(output, subject, options);
}

Status check_one(const CheckCommand& command) {
    const std::string& path = command.paths.front();
    const io::CaseReading reading = read_case_to_balance(path);
    const model::System& system = *reading.system;
    solver::CheckOptions options;
    options.threads = command.threads;
    options.record_steps = command.verbose;
    if (!command.run.empty()) options.only_run = find_run(system, command.run);
    refuse_to_overwrite(reading.files, path, command.output.output);

    const bool text = command.output.format == "text";
    if (!text && !command.quiet) say_warnings(reading, path);
    io::Output output(command.output.output);
    const io::CheckSubject subject{system, reading.layout, reading.warnings, reading.files, path};
    const auto writer = writer_of(command, subject, output);
    const io::Speaker speaker{system, io::ShownUnits::of_text(system)};
    const auto summary =
        solver::check_runs(system, reading.layout, options,
                           [&](const solver::RunResult& result, const solver::RunFindings& findings) {
                               writer->add(result, findings);
                               if (command.verbose)
                                   std::fputs(io::steps_text(speaker, result).c_str(), stderr);
                           });
    if (text && !command.quiet) {
        options.record_steps = false;
        const auto lower = at_lower_supply(system, reading.layout, options);
        writer->finish(summary, lower ? &*lower : nullptr);
    } else {
        writer->finish(summary, nullptr);
    }
    output.finish();
    return status_of(summary);
}

}  // namespace

io::Detail detail_of(const std::string& word, io::Detail otherwise) {
    if (word.empty()) return otherwise;
    return word == "all" ? io::Detail::all : word == "running" ? io::Detail::running : io::Detail::summary;
}

void add_check(CLI::App& program, Action& action) {
    CLI::App* verb =
        program.add_subcommand("check",
                               "Balance every run of a case and flag what is outside limits;\n"
                               "of several cases, or a folder of them, print a line each and a total");
    const auto command = std::make_shared<CheckCommand>();
    verb->add_option(
            "CASE", command->paths,
            "the case, a TOML file; or several, or folders: a folder stands for every file beneath it "
            "whose name ends in .toml, but for those that hold readings only")
        ->required()
        ->type_name("FILE|FOLDER");
    verb->add_option("--run", command->run, "this run only")->type_name("ID");
    verb->add_option(
            "--detail", command->detail,
            "what json and csv list of each run (default all; of many cases summary); text adds tables of "
            "heads and pipes")
        ->check(CLI::IsMember({"all", "running", "summary"}).description(""))
        ->type_name("all|running|summary");
    verb->add_option("--table", command->table, "the table that csv prints")
        ->check(CLI::IsMember({"runs", "heads", "points", "pipes", "devices", "valves", "findings"})
                    .description(""))
        ->type_name("runs|heads|points|pipes|devices|valves|findings")
        ->default_str("findings");
    verb->add_option("--shard", command->shard,
                     "of the sorted cases the I-th, and from there every N-th: one of N parts of the work")
        ->check(wrong_shard, "", "")
        ->type_name("I/N");
    add_output_options(*verb, command->output);
    add_threads_option(*verb, command->threads);
    CLI::Option* quiet =
        verb->add_flag("--quiet", command->quiet, "the verdict alone; of many cases the total");
    verb->add_flag("--verbose", command->verbose, "the steps of each balance, on standard error")
        ->excludes(quiet);
    verb->footer(
        "Example: evenhead check garden.toml\n"
        "         evenhead check garden.toml --format csv --table heads -o heads.csv\n"
        "         evenhead check parks schools/oak.toml --format csv -o cases.csv\n"
        "         evenhead check parks --format json --shard 2/4 -o part2.jsonl");
    verb->callback([&action, command] {
        action = [command] { return is_list(*command) ? check_many(*command) : check_one(*command); };
    });
}

}  // namespace evenhead::cli
