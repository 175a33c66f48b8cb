// `evenhead sheets CASE`: the crew's sheets.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <memory>
#include <optional>

#include "cli/takeoff_options.hpp"
#include "cli/verb.hpp"
#include "io/crew/sheets.hpp"
#include "io/read/user_tables.hpp"
#include "model/nearest.hpp"
#include "solver/network/network.hpp"

namespace evenhead::cli {
namespace {

struct SheetsCommand {
    std::string path, table, takeoff_table, wire, csv_table;
    std::vector<std::string> sheets, controllers;
    int threads = 0;
    bool quiet = false;
    OutputOptions output;
};

[[noreturn]] void refuse_name(const char* option, const std::string& name,
                              const std::vector<std::string_view>& known) {
    const auto nearest = model::nearest_name(name, known);
    throw UsageError(fmt::format("{} {}: nobody knows it; {}", option, name,
                                 nearest ? fmt::format("the nearest is {}", *nearest)
                                         : fmt::format("there are {}", fmt::join(known, ", "))));
}

/// The sheets to make: those named, of CSV the one that has the table.
std::vector<std::string> sheets_of(const SheetsCommand& command) {
    std::vector<std::string_view> tables;
    for (const auto& [table, sheet] : io::crew_tables()) {
        tables.push_back(table);
        if (table == command.csv_table) return {std::string(sheet)};
    }
    if (!command.csv_table.empty()) refuse_name("--table", command.csv_table, tables);
    const auto& names = io::sheet_names_of_crew();
    for (const std::string& sheet : command.sheets)
        if (std::find(names.begin(), names.end(), sheet) == names.end()) refuse_name("--sheet", sheet, names);
    if (command.output.format == "csv" && command.sheets.size() != 1)
        throw UsageError(
            fmt::format("CSV is one table: name it with --table, or a sheet with --sheet; tables "
                        "are {}",
                        fmt::join(tables, ", ")));
    return command.sheets.empty() ? std::vector<std::string>(names.begin(), names.end()) : command.sheets;
}

model::CrewTable table_of(const SheetsCommand& command) {
    if (command.table.empty()) return model::crew_table();
    std::optional<model::CrewTable> read;
    const io::FileReading reading = io::read_crew_table(command.table, read);
    if (!reading.errors.empty()) refuse(reading.errors, reading.files, command.table);
    return *read;
}

/// The wire that is laid: asked for, else that of the take-off, which the table may not have.
void check_wire(const std::string& wire, const model::CrewTable& table) {
    if (wire.empty() || table.find(wire)) return;
    std::vector<std::string_view> known;
    for (const model::WireGauge& gauge : table.wires) known.push_back(gauge.name);
    refuse_name("--wire", wire, known);
}

Status sheets(const SheetsCommand& command) {
    if (!command.csv_table.empty() && command.output.format != "csv")
        throw UsageError("--table is one table of CSV; a sheet is named with --sheet");
    if (!command.csv_table.empty() && !command.sheets.empty())
        throw UsageError("--table and --sheet both say what to write: leave one of them out");
    const std::vector<std::string> names = sheets_of(command);
    const bool balance = std::any_of(names.begin(), names.end(),
                                     [](const std::string& name) { return io::needs_balance(name); });
    const io::CaseReading reading =
        balance ? read_case_to_balance(command.path) : read_case_or_refuse(command.path);
    const model::System& system = *reading.system;
    std::vector<std::string> files = reading.files;
    for (const std::string& table : {command.table, command.takeoff_table})
        if (!table.empty()) files.push_back(table);
    refuse_to_overwrite(files, command.path, command.output.output);
    const model::CrewTable table = table_of(command);
    const model::TakeoffRules rules = read_takeoff_rules_or_refuse(command.takeoff_table);
    const model::Takeoff takeoff =
        model::take_off(system, reading.layout, rules, wires_from(command.controllers, system));
    check_wire(command.wire.empty() ? takeoff.wire : command.wire, table);
    if (!command.quiet && command.output.format != "json") say_warnings(reading, command.path);

    std::optional<solver::Commissioning> measured;
    if (balance) measured = solver::commissioning(system, reading.layout, command.threads);
    const std::string& format = command.output.format;
    const bool text = format == "text", page = format == "html";
    const io::Speaker speaker{
        system, text || page ? io::ShownUnits::of_text(system) : io::ShownUnits::of_case(system.units)};
    const io::CrewSubject subject{
        speaker,     reading.layout, takeoff, rules, table, command.path, measured ? &*measured : nullptr,
        command.wire};
    const std::vector<io::CrewSheet> made = io::crew_sheets(subject, names);
    io::Output output(command.output.output);
    if (text) {
        io::write_sheets_text(output, subject, made, page_of(command.output, output));
    } else if (page) {
        io::write_sheets_page(output, subject, made);
    } else if (format == "json") {
        io::write_sheets_json(output, subject, made, reading.warnings, reading.files);
    } else {
        const auto& tables = made.front().tables;
        const auto wanted = std::find_if(tables.begin(), tables.end(), [&](const io::SheetTable& one) {
            return one.name == command.csv_table;
        });
        io::write_sheet_csv(output, wanted == tables.end() ? tables.front() : *wanted);
    }
    output.finish();
    const bool unsolved = measured && (!measured->failed.empty() || measured->shut_failed);
    return unsolved ? Status::no_solution : Status::within_limits;
}

}  // namespace

void add_sheets(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "sheets",
        "The crew's sheets: trenches, wire, flushing, commissioning, flow limits, drainage, winter");
    const auto command = std::make_shared<SheetsCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    add_output_options(*verb, command->output, {"text", "html", "json", "csv"});
    verb->add_option("--sheet", command->sheets,
                     fmt::format("these only: {} (default: all)", fmt::join(io::sheet_names_of_crew(), " ")))
        ->type_name("NAME");
    std::vector<std::string_view> tables;
    for (const auto& [table, sheet] : io::crew_tables()) tables.push_back(table);
    verb->add_option("--table", command->csv_table,
                     fmt::format("one table as CSV: {}", fmt::join(tables, " ")))
        ->type_name("NAME");
    add_controller_option(*verb, command->controllers);
    verb->add_option("--wire", command->wire,
                     "what is laid, such as \"14 AWG\" or \"1.5 mm2\" (default: by the longest way)")
        ->type_name("NAME");
    verb->add_option("--crew-table", command->table,
                     "what to count with in place of the shipped table of wire, solenoids, shares and air")
        ->type_name("FILE");
    verb->add_option("--takeoff-table", command->takeoff_table,
                     "depths, widths and slack in place of the shipped ones, as takeoff takes them")
        ->type_name("FILE");
    add_threads_option(*verb, command->threads);
    verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->footer(
        "Exit status 0; 3 where a run has no solution, so that its sheet has nothing to foretell.\n"
        "A name that ends in .html makes a page to print, each sheet a page of its own.\n"
        "Example: evenhead sheets garden.toml -o sheets.html\n"
        "         evenhead sheets garden.toml --sheet valves\n"
        "         evenhead sheets garden.toml --table readings -o readings.csv");
    verb->callback([&action, command, verb] {
        if (verb->get_option("--format")->count() == 0 && command->output.output.ends_with(".html"))
            command->output.format = "html";
        else if (verb->get_option("--format")->count() == 0 && !command->csv_table.empty())
            command->output.format = "csv";
        action = [command] { return sheets(*command); };
    });
}

}  // namespace evenhead::cli
