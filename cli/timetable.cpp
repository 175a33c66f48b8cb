// `evenhead timetable CASE`: who waters when, in the shortest night that keeps every limit.
#include <fmt/format.h>

#include <cmath>
#include <memory>

#include "cli/progress.hpp"
#include "cli/verb.hpp"
#include "io/units.hpp"
#include "io/write/timetable.hpp"

namespace evenhead::cli {
namespace {

struct TimetableCommand {
    std::string path, multiplier = "low-half", grid, table = "runs";
    solver::TimetableOptions options;
    bool quiet = false;
    OutputOptions output;
};

void take_multiplier(const std::string& word, solver::TimetableOptions& options) {
    using Rule = solver::MultiplierRule;
    for (const auto& [name, rule] :
         {std::pair{"low-half", Rule::low_half}, {"low-quarter", Rule::low_quarter}, {"none", Rule::none}}) {
        if (word != name) continue;
        options.multiplier = rule;
        return;
    }
    const io::ParsedQuantity number = io::parse_quantity(word, model::Dimension::none, model::UnitSystem::us);
    if (!number.error.empty() || !(number.quantity.value >= 0.1 && number.quantity.value <= 10))
        throw UsageError(
            fmt::format("--multiplier {}: write low-half, low-quarter, none, or a number such as 1.2", word));
    options.multiplier = Rule::given;
    options.given_multiplier = number.quantity.value;
}

double grid_of(const std::string& text, const model::System& system) {
    if (text.empty()) return 0;
    const io::ParsedQuantity parsed = io::parse_quantity(text, model::Dimension::length, system.units);
    if (!parsed.error.empty() || !(parsed.quantity.value > 0))
        throw UsageError(fmt::format("--grid {}: write a length above zero", text));
    return parsed.quantity.value;
}

bool names_a_calendar(const std::string& file) {
    return file.ends_with(".ics") || file.ends_with(".ICS");
}

Status timetable(TimetableCommand command) {
    const io::CaseReading reading = read_case_to_balance(command.path);
    const model::System& system = *reading.system;
    refuse_to_overwrite(reading.files, command.path, command.output.output);
    take_multiplier(command.multiplier, command.options);
    command.options.grid = grid_of(command.grid, system);
    if (!command.quiet && command.output.format != "json") say_warnings(reading, command.path);
    solver::TimetableOrIssues made;
    {
        ProgressLine line(!command.quiet, 0, "");
        command.options.progress = [&](const std::string& words) { line.show(words); };
        made = solver::make_timetable(system, reading.layout, reading.watering, command.options);
    }
    if (!made.issues.empty()) refuse(made.issues, reading.files, command.path);
    const io::TimetableSubject subject{system,       reading.watering,  made.timetable,
                                       command.path, &reading.warnings, &reading.files};
    const std::string& format = command.output.format;
    if (format == "ics" && !made.timetable.possible())
        throw UsageError("there is no timetable to put into a calendar: see evenhead timetable without -o");
    io::Output output(command.output.output);
    if (format == "json")
        io::write_timetable_json(output, subject);
    else if (format == "ics")
        io::write_timetable_calendar(output, subject);
    else if (format == "csv")
        io::write_timetable_csv(output, subject,
                                command.table == "runs"       ? io::TimetableTable::runs
                                : command.table == "openings" ? io::TimetableTable::openings
                                                              : io::TimetableTable::zones);
    else
        io::write_timetable_text(output, subject, page_of(command.output, output));
    output.finish();
    return subject.fits() ? Status::within_limits : Status::outside_limits;
}

}  // namespace

void add_timetable(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "timetable", "Who waters when: run times, cycles and soaks, and the shortest night within limits");
    const auto command = std::make_shared<TimetableCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file, with watering and window")
        ->required()
        ->type_name("FILE");
    verb->add_option("--multiplier", command->multiplier,
                     "by what runs are longer since water lands unevenly: 1 / (0.4 + 0.6 DU), 1 / DU of the "
                     "driest quarter, none, or a number")
        ->type_name("low-half|low-quarter|none|NUMBER")
        ->default_str("low-half");
    verb->add_option("--grid", command->grid, "side of the cells in which coverage is found")
        ->type_name("LENGTH");
    verb->add_option("--most", command->options.most,
                     "how many sets of valves to balance for each night at most")
        ->check(CLI::Range(1L, 100'000'000L).description(""))
        ->type_name("N")
        ->default_str("200000");
    verb->add_option("--evaluations", command->options.evaluations,
                     "how many timetables of a night to try (default: by its size)")
        ->check(CLI::Range(4L, 1'000'000'000L).description(""))
        ->type_name("N");
    verb->add_option("--seed", command->options.seed, "of the search: another one may find another timetable")
        ->check(CLI::Range(0U, 400'000'000U).description(""))
        ->type_name("N")
        ->default_str("1");
    verb->add_option("--table", command->table, "the table that csv prints")
        ->check(CLI::IsMember({"runs", "openings", "zones"}).description(""))
        ->type_name("runs|openings|zones")
        ->default_str("runs");
    add_output_options(*verb, command->output, {"text", "json", "csv", "ics"});
    add_threads_option(*verb, command->options.threads);
    verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->footer(
        "Every set of valves that is ever open at once was balanced and judged by every rule.\n"
        "A name that ends in .ics makes a calendar (RFC 5545). Minutes count from the midnight of the day\n"
        "on which the window opens; a run ends before the minute of its end.\n"
        "Exit status 1: the longest night does not fit the window, or a valve is in no set within limits.\n"
        "Example: evenhead timetable park.toml\n"
        "         evenhead timetable park.toml --multiplier 1.1 -o night.ics");
    verb->callback([&action, command, verb] {
        if (verb->get_option("--format")->count() == 0 && names_a_calendar(command->output.output))
            command->output.format = "ics";
        action = [command] { return timetable(*command); };
    });
}

}  // namespace evenhead::cli
