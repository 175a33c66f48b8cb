// `evenhead takeoff CASE`: what has to be bought and dug, counted from the case.
#include <fmt/format.h>

#include <cstdio>
#include <memory>

#include "cli/takeoff_options.hpp"
#include "cli/verb.hpp"
#include "io/units.hpp"
#include "io/workbook/takeoff_book.hpp"
#include "io/write/takeoff.hpp"

namespace evenhead::cli {
namespace {

using model::Dimension;

struct TakeoffCommand {
    std::string path, table, waste, trench_width;
    std::vector<std::string> controllers;
    bool belled = false, elements = false, quiet = false;
    OutputOptions output;
};

/// A quantity of the command line that is not below zero.
double quantity_option(const char* option, const std::string& text, Dimension dimension,
                       const model::System& system) {
    const io::ParsedQuantity parsed = io::parse_quantity(text, dimension, system.units);
    if (!parsed.error.empty()) throw UsageError(fmt::format("{}: {}; {}", option, parsed.error, parsed.mend));
    if (!parsed.quantity.known() || parsed.quantity.value < 0)
        throw UsageError(fmt::format("{} {}: write a number that is 0 or more", option, text));
    return parsed.quantity.value;
}

model::TakeoffRules rules_of(const TakeoffCommand& command, const model::System& system) {
    model::TakeoffRules rules = read_takeoff_rules_or_refuse(command.table);
    if (!command.waste.empty()) {
        rules.pipe_waste = quantity_option("--waste", command.waste, Dimension::share, system);
        if (rules.pipe_waste > 1) throw UsageError("--waste: more than 100 % of the pipe would be waste");
    }
    if (!command.trench_width.empty()) {
        const double width =
            quantity_option("--trench-width", command.trench_width, Dimension::length, system);
        rules.trench_width = {width, width};
    }
    if (command.belled)
        for (model::PipeRule& rule : rules.pipes)
            if (rule.family == "pvc") rule.joined = model::PipeRule::Joined::bell;
    return rules;
}

Status takeoff(const TakeoffCommand& command) {
    const bool book = command.output.format == "xlsx";
    if (book && command.output.output.empty())
        throw UsageError("a workbook is nothing for a screen; name a file for it: -o takeoff.xlsx");
    const io::CaseReading reading = read_case_or_refuse(command.path);
    const model::System& system = *reading.system;
    std::vector<std::string> files = reading.files;
    if (!command.table.empty()) files.push_back(command.table);
    refuse_to_overwrite(files, command.path, command.output.output);
    const model::TakeoffRules rules = rules_of(command, system);
    const model::Takeoff found =
        model::take_off(system, reading.layout, rules, wires_from(command.controllers, system));
    if (!command.quiet && command.output.format != "json") say_warnings(reading, command.path);

    const bool text = command.output.format == "text";
    const io::Speaker speaker{
        system, text || book ? io::ShownUnits::of_text(system) : io::ShownUnits::of_case(system.units)};
    const io::TakeoffSubject subject{speaker, found, command.path};
    io::Output output(command.output.output);
    if (book)
        io::write_takeoff_book(output, subject);
    else if (text)
        io::write_takeoff_text(output, subject, command.elements, page_of(command.output, output));
    else if (command.output.format == "json")
        io::write_takeoff_json(output, subject, reading.warnings);
    else
        io::write_takeoff_csv(output, subject);
    output.finish();
    if (book && !command.quiet)
        std::fputs(fmt::format("Wrote {}: {}.\n", io::printable(command.output.output),
                               io::counted(found.lines.size(), "line"))
                       .c_str(),
                   stdout);
    return Status::within_limits;
}

}  // namespace

void add_takeoff(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "takeoff", "What to buy and dig: pipe, fittings, valves, heads, wire and trench, with their cost");
    const auto command = std::make_shared<TakeoffCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    add_output_options(*verb, command->output, {"text", "json", "csv", "xlsx"});
    verb->add_flag("--elements", command->elements, "with the points and pipes behind every count");
    verb->add_option("--waste", command->waste, "pipe bought on top of what is laid (default: 5 %)")
        ->type_name("PERCENT");
    verb->add_option("--trench-width", command->trench_width,
                     "pipes no farther apart that run the same way share a trench (default: 1 ft, 0.3 m)")
        ->type_name("LENGTH");
    add_controller_option(*verb, command->controllers);
    verb->add_flag("--belled", command->belled, "PVC pipe has bells: no couplings between its lengths");
    verb->add_option("--table", command->table,
                     "what to count with in place of the shipped table of pieces, joints, depths and prices")
        ->type_name("FILE");
    verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->footer(
        "Exit status 0. The prices that ship are invented; those of the case (prices) come first.\n"
        "A name that ends in .xlsx makes a workbook whose counts, orders and costs are formulas.\n"
        "Example: evenhead takeoff garden.toml --waste 8\n"
        "         evenhead takeoff garden.toml -o takeoff.xlsx");
    verb->callback([&action, command, verb] {
        if (verb->get_option("--format")->count() == 0 && names_a_workbook(command->output.output))
            command->output.format = "xlsx";
        action = [command] { return takeoff(*command); };
    });
}

}  // namespace evenhead::cli
