// `evenhead coverage CASE`: how evenly each zone waters its ground.
#include <fmt/format.h>

#include <cstdio>
#include <memory>

#include "cli/verb.hpp"
#include "io/read/cans.hpp"
#include "io/units.hpp"
#include "io/write/coverage.hpp"

namespace evenhead::cli {
namespace {

struct CoverageCommand {
    std::string path, grid, cans, duration, can_area;
    int threads = 0;
    bool quiet = false;
    OutputOptions output;
};

double grid_option(const std::string& text, const model::System& system) {
    const io::ParsedQuantity parsed = io::parse_quantity(text, model::Dimension::length, system.units);
    if (!parsed.error.empty()) throw UsageError(fmt::format("--grid: {}; {}", parsed.error, parsed.mend));
    if (!(parsed.quantity.value > 0))
        throw UsageError(
            fmt::format("--grid {}: write a length above 0, such as \"1 ft\" or \"25 cm\"", text));
    return parsed.quantity.value;
}

io::CanOptions can_options(const CoverageCommand& command, const model::System& system) {
    io::CanOptions options;
    if (command.cans.empty() && !(command.duration.empty() && command.can_area.empty()))
        throw UsageError("--duration and --can-area are about catch cans; name their file: --cans cans.csv");
    if (!command.duration.empty()) {
        options.duration = io::can_duration(command.duration, system.units);
        if (!options.duration)
            throw UsageError(
                fmt::format("--duration {}: write minutes, or a number with its unit: \"20 min\", \"1 h\"",
                            command.duration));
    }
    if (!command.can_area.empty()) {
        options.opening = io::can_opening(command.can_area, system.units);
        if (!options.opening)
            throw UsageError(
                fmt::format("--can-area {}: write the area of a can's opening: \"16.6 in2\", \"100 "
                            "cm2\"",
                            command.can_area));
    }
    return options;
}

Status coverage(const CoverageCommand& command) {
    const io::CaseReading reading = read_case_to_balance(command.path);
    const model::System& system = *reading.system;
    std::vector<std::string> files = reading.files;
    if (!command.cans.empty()) files.push_back(command.cans);
    refuse_to_overwrite(files, command.path, command.output.output);
    solver::CoverageOptions options;
    options.threads = command.threads;
    if (!command.grid.empty()) options.grid = grid_option(command.grid, system);
    const io::CanOptions of_cans = can_options(command, system);

    const std::vector<solver::ZoneCoverage> zones = solver::cover(system, reading.layout, options);
    std::vector<solver::CatchCan> cans;
    if (!command.cans.empty()) {
        const io::FileReading read = io::read_cans(command.cans, system, zones, of_cans, cans);
        if (!read.errors.empty()) refuse(read.errors, read.files, command.cans);
    }
    const std::vector<solver::ZoneCans> compared = solver::compare_cans(zones, cans);

    const bool text = command.output.format == "text";
    const io::Speaker speaker{system,
                              text ? io::ShownUnits::of_text(system) : io::ShownUnits::of_case(system.units)};
    const io::CoverageSubject subject{speaker, zones, compared, command.path};
    if (!command.quiet && command.output.format != "json") {
        say_warnings(reading, command.path);
        if (!text)
            for (const std::string& warning : io::coverage_warnings(speaker, zones))
                std::fputs(fmt::format("evenhead: {}\n", io::printable(warning)).c_str(), stderr);
    }
    io::Output output(command.output.output);
    if (text)
        io::write_coverage_text(output, subject, page_of(command.output, output));
    else if (command.output.format == "json")
        io::write_coverage_json(output, subject, reading.warnings, reading.files);
    else
        io::write_coverage_csv(output, subject);
    output.finish();
    for (const solver::ZoneCoverage& zone : zones)
        if (zone.why_none == solver::Uncovered::unsolved) return Status::no_solution;
    return Status::within_limits;
}

}  // namespace

void add_coverage(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "coverage",
        "How evenly each zone waters its ground: rate, lowest quarter, driest places, and whether "
        "spacing or pressure makes it so");
    const auto command = std::make_shared<CoverageCommand>();
    verb->add_option("CASE", command->path, "the case, a TOML file")->required()->type_name("FILE");
    add_output_options(*verb, command->output);
    verb->add_option(
            "--grid", command->grid,
            "side of the cells that the ground is cut into (default: a twentieth of the smallest throw "
            "in the zone)")
        ->type_name("LENGTH");
    verb->add_option(
            "--cans", command->cans,
            "catch cans, a CSV file: x, y, depth or volume (mL), and where they differ valve, duration "
            "(minutes), area or diameter of the opening")
        ->type_name("FILE");
    verb->add_option("--duration", command->duration, "how long the zone ran into the cans (minutes)")
        ->type_name("TIME");
    verb->add_option("--can-area", command->can_area, "opening of a can (in2; metric: cm2)")
        ->type_name("AREA");
    add_threads_option(*verb, command->threads);
    verb->add_flag("--quiet", command->quiet, "nothing on standard error but errors");
    verb->footer(
        "The ground of a zone is its areas, else the hull of its heads. Wind off, level ground: an "
        "estimate;\n"
        "uniformity is measured with catch cans. Exit status 0; 3: a run that opens a zone has no solution.\n"
        "Example: evenhead coverage garden.toml\n"
        "         evenhead coverage garden.toml --cans monday.csv --duration 20 --can-area 16.6");
    verb->callback([&action, command] { action = [command] { return coverage(*command); }; });
}

}  // namespace evenhead::cli
