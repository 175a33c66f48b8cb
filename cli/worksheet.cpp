// `evenhead worksheet CASE [HEAD]`: where the pressure goes on the water's way to one head.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <limits>
#include <memory>
#include <optional>
#include <string_view>
#include <utility>

#include "cli/worksheet_command.hpp"
#include "io/write/check.hpp"
#include "io/write/worksheet.hpp"
#include "model/nearest.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::cli {
namespace {

using model::Index;

/// What the worksheet will be about, and why.
struct Chosen {
    Index run = model::none, head = model::none;
    std::vector<std::string> notes;
};

Index find_head(const model::System& system, const std::string& id) {
    model::NearestName nearest(id);
    for (std::size_t i = 0; i < system.heads.size(); ++i) {
        const std::string& name = system.point_id(system.heads[i].point);
        if (name == id) return static_cast<Index>(i);
        nearest.offer(name);
    }
    const auto found = nearest.found();
    throw UsageError(fmt::format("there is no head {} in this case{}", id,
                                 found ? fmt::format("; the nearest is {}", *found) : ""));
}

bool contains(const std::vector<Index>& list, Index value) {
    return std::find(list.begin(), list.end(), value) != list.end();
}

bool run_waters(const model::System& system, const model::Layout& layout, Index run, Index head) {
    if (contains(layout.heads_on_mainline, head)) return true;
    const auto& valves = system.runs[static_cast<std::size_t>(run)].valves;
    return std::any_of(valves.begin(), valves.end(), [&](Index valve) {
        return contains(layout.zone_heads[static_cast<std::size_t>(valve)], head);
    });
}

/// Of the runs that water the head, the one that leaves it the least pressure.
Index worst_run_of(const model::System& system, const model::Layout& layout, Index head) {
    Index worst = model::none;
    double lowest = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < system.runs.size(); ++i) {
        const auto run = static_cast<Index>(i);
        if (!run_waters(system, layout, run, head)) continue;
        if (worst == model::none) worst = run;
        const auto result = solver::solve_run(system, layout, run);
        if (result.failure) continue;
        const double pressure = result.head_pressure[static_cast<std::size_t>(head)];
        if (!(pressure < lowest)) continue;
        lowest = pressure;
        worst = run;
    }
    if (worst == model::none)
        throw UsageError(fmt::format("no run waters head {}; name its valve in a run",
                                     system.point_id(system.heads[static_cast<std::size_t>(head)].point)));
    return worst;
}

Chosen choose(const WorksheetCommand& command, const model::System& system, const model::Layout& layout) {
    Chosen chosen;
    if (system.heads.empty()) throw UsageError("this case has no heads, so there is no way to one to follow");
    if (!command.run.empty()) chosen.run = find_run(system, command.run);
    if (!command.head.empty()) {
        chosen.head = find_head(system, command.head);
        if (chosen.run != model::none && run_waters(system, layout, chosen.run, chosen.head)) return chosen;
        const bool elsewhere = chosen.run != model::none;
        chosen.run = worst_run_of(system, layout, chosen.head);
        if (elsewhere)
            chosen.notes.push_back(fmt::format("Head {} does not run in run {}; this is run {}.",
                                               command.head, command.run,
                                               system.runs[static_cast<std::size_t>(chosen.run)].id));
        return chosen;
    }
    solver::CheckOptions options;
    options.threads = command.threads;
    options.only_run = chosen.run;
    Index failed = model::none;
    const auto summary = solver::check_runs(system, layout, options,
                                            [&](const solver::RunResult& result, const solver::RunFindings&) {
                                                if (result.failure && failed == model::none)
                                                    failed = result.run;
                                            });
    chosen.notes.emplace_back(chosen.run == model::none ? "The critical head of all runs."
                                                        : "The critical head of this run.");
    if (failed != model::none)
        chosen.notes.emplace_back("Some runs have no solution and are left out: see check.");
    if (summary.critical_head != model::none) {
        chosen.head = summary.critical_head;
        chosen.run = summary.critical_run;
    } else if (failed != model::none) {
        chosen.run = failed;  // its reason is what there is to say
    } else {
        throw UsageError("no head runs, so there is no way to one to follow");
    }
    return chosen;
}

Status no_solution(const io::Speaker& speaker, const solver::RunResult& result) {
    std::string text = fmt::format("run {} has no proven solution:\n",
                                   io::element_id(speaker.system, {solver::ElementKind::run, result.run}));
    for (const std::string& sentence : io::failure_sentences(speaker, *result.failure))
        text += "  " + sentence + "\n";
    std::fputs(("evenhead: " + text).c_str(), stderr);
    return Status::no_solution;
}

Status worksheet(const WorksheetCommand& command) {
    const bool book = command.output.format == "xlsx";
    if (book && command.output.output.empty())
        throw UsageError("a workbook is nothing for a screen; name a file for it: -o worksheet.xlsx");
    const io::CaseReading reading = read_case_to_balance(command.path);
    const model::System& system = *reading.system;
    refuse_to_overwrite(reading.files, command.path, command.output.output);
    if (book && command.head.empty() && command.run.empty()) return worksheet_of_every_run(command, reading);
    const Chosen chosen = choose(command, system, reading.layout);
    const bool text = command.output.format == "text";
    const io::Speaker speaker{
        system, text || book ? io::ShownUnits::of_text(system) : io::ShownUnits::of_case(system.units)};
    if (command.verbose) say_warnings(reading, command.path);

    const auto result = solver::solve_run(system, reading.layout, chosen.run, command.verbose);
    if (command.verbose) std::fputs(io::steps_text(speaker, result).c_str(), stderr);
    if (result.failure) return no_solution(speaker, result);
    std::optional<solver::Worksheet> sheet;
    try {
        sheet = solver::make_worksheet(system, reading.layout, result, chosen.head);
    } catch (const std::invalid_argument&) {
        throw UsageError(fmt::format("no water reaches head {} in run {}",
                                     io::element_id(system, {solver::ElementKind::head, chosen.head}),
                                     system.runs[static_cast<std::size_t>(chosen.run)].id));
    }
    io::Output output(command.output.output);
    if (book)
        io::write_workbook(output, {speaker, reading.layout, reading.warnings, reading.files}, {},
                           {workbook_sheet(result, *sheet, chosen.notes)});
    else if (text)
        io::write_worksheet_text(output, speaker, *sheet, chosen.notes, page_of(command.output, output));
    else if (command.output.format == "json")
        io::write_worksheet_json(output, speaker, *sheet);
    else
        io::write_worksheet_csv(output, speaker, *sheet);
    output.finish();
    if (!text && !command.quiet)
        for (const std::string& note : chosen.notes) std::fputs((note + "\n").c_str(), stderr);
    return sheet->margin < 0 ? Status::outside_limits : Status::within_limits;
}

}  // namespace

io::WorkbookSheet workbook_sheet(const solver::RunResult& result, solver::Worksheet worksheet,
                                 const std::vector<std::string>& notes) {
    io::WorkbookSheet sheet;
    sheet.head_flow = result.head_flow[static_cast<std::size_t>(worksheet.head)];
    sheet.worksheet = std::move(worksheet);
    sheet.run_flow = result.flow;
    sheet.open = result.open;
    sheet.closure = result.closure;
    for (const std::string& note : notes) sheet.note += (sheet.note.empty() ? "" : " ") + note;
    return sheet;
}

void add_worksheet(CLI::App& program, Action& action) {
    CLI::App* verb =
        program.add_subcommand("worksheet", "The pressure-loss worksheet of one head, from supply to nozzle");
    const auto command = std::make_shared<WorksheetCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    verb->add_option("HEAD", command->head, "the head to follow (default: the critical head of all runs)")
        ->type_name("ID");
    verb->add_option("--run", command->run, "in this run (default: the one that leaves the head the least)")
        ->type_name("ID");
    add_output_options(*verb, command->output, {"text", "json", "csv", "xlsx"});
    add_threads_option(*verb, command->threads);
    CLI::Option* quiet = verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->add_flag("--verbose", command->verbose, "warnings and the steps of the balance, on standard error")
        ->excludes(quiet);
    verb->footer(
        "Exit status 1: the head gets less than it needs.\n"
        "A name that ends in .xlsx makes a workbook with live formulas: without HEAD and --run a sheet for "
        "the "
        "critical head of each run.\n"
        "Example: evenhead worksheet garden.toml L4 --run lawn\n"
        "         evenhead worksheet garden.toml -o worksheet.xlsx");
    verb->callback([&action, command, verb] {
        if (verb->get_option("--format")->count() == 0 && names_a_workbook(command->output.output))
            command->output.format = "xlsx";
        action = [command] { return worksheet(*command); };
    });
}

}  // namespace evenhead::cli
