// `evenhead import SURVEY`: a case from surveyed points and lines.
#include <fmt/format.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <memory>

#include "cli/verb.hpp"
#include "io/geo/survey_case.hpp"
#include "io/read/case_reader.hpp"
#include "io/units.hpp"
#include "io/write/issues.hpp"

namespace evenhead::cli {
namespace {

using model::Dimension;

// What a tape and a hand-held receiver that corrects itself leave between two readings of one place: common
// practice. Valves in one box stand farther apart.
constexpr double usual_snap_us = 0.5 * 0.3048;  // m
constexpr double usual_snap_metric = 0.15;      // m

struct ImportCommand {
    std::string path, output, snap, units, origin, format = "text";
    std::vector<std::string> keys;
    bool quiet = false;
};

std::array<double, 2> origin_of(const std::string& text) {
    const auto split = text.find_first_of(" ,");
    std::array<double, 2> origin{999, 999};
    if (split != std::string::npos)
        for (const std::size_t i : {0U, 1U}) {
            const std::string part = i == 0 ? text.substr(0, split) : text.substr(split + 1);
            const auto parsed = io::parse_quantity(part, Dimension::none, model::UnitSystem::us);
            if (parsed.error.empty() && parsed.quantity.known()) origin[i] = parsed.quantity.value;
        }
    if (!(std::abs(origin[0]) <= 180 && std::abs(origin[1]) <= 89))
        throw UsageError(fmt::format(
            "--origin {}: write longitude and latitude in degrees, such as \"-97.7 30.3\"", text));
    return origin;
}

/// --key KEY=NAME
std::pair<std::string, std::string> key_of(const std::string& text) {
    const auto split = text.find('=');
    const std::string key = text.substr(0, split);
    if (split == std::string::npos || split == 0 || split + 1 == text.size())
        throw UsageError(fmt::format("--key {}: write KEY=NAME, such as nozzle=Duese", text));
    std::vector<std::string_view> known{"id", "type", "x", "y", "lon", "lat"};
    for (const io::TableReader* table :
         {&io::supplies_table, &io::devices_table, &io::valves_table, &io::heads_table, &io::points_table,
          &io::pipes_table, &io::areas_table})
        known.insert(known.end(), table->keys.begin(), table->keys.end());
    if (std::find(known.begin(), known.end(), key) == known.end()) {
        const auto nearest = model::nearest_name(key, known);
        throw UsageError(fmt::format("--key {}: a case has no key {}{}", text, key,
                                     nearest ? fmt::format("; the nearest is {}", *nearest) : ""));
    }
    return {key, text.substr(split + 1)};
}

Status import_survey(const ImportCommand& command) {
    io::SurveyOptions options;
    if (!command.units.empty())
        options.units = command.units == "us" ? model::UnitSystem::us : model::UnitSystem::metric;
    if (!command.origin.empty()) options.origin = origin_of(command.origin);
    for (const std::string& text : command.keys) options.names.insert(key_of(text));
    if (command.format == "json" && command.output.empty())
        throw UsageError("--format json is of what was done; name a file for the case: -o case.toml");
    refuse_to_overwrite({}, command.path, command.output);
    const io::SurveyFile survey = io::read_survey(command.path, options);
    double snap = survey.units == model::UnitSystem::us ? usual_snap_us : usual_snap_metric;
    if (!command.snap.empty()) {
        const auto parsed = io::parse_quantity(command.snap, Dimension::length, survey.units);
        if (!parsed.error.empty()) throw UsageError(fmt::format("--snap: {}; {}", parsed.error, parsed.mend));
        snap = parsed.quantity.value;
        if (!(snap >= 0 && snap <= 100))
            throw UsageError(
                fmt::format("--snap {}: write a length from 0 on, such as \"0.5 ft\"", command.snap));
    }
    const io::SurveyCase made =
        io::survey_case(survey, snap, std::filesystem::path(command.path).stem().string());
    if (!made.errors.empty()) refuse(made.errors, made.files, command.path);
    if (!command.quiet) {
        io::IssuePrinter printer(made.files, command.path);
        for (const model::Issue& warning : made.warnings)
            std::fputs(printer.text(warning, "warning").c_str(), stderr);
    }
    io::Output output(command.output);
    output.write(made.toml);
    output.finish();
    if (command.format == "json") {
        io::Output report;
        io::write_survey_json(report, made);
        report.finish();
    } else if (!command.quiet) {
        // Where the case itself goes to standard output, what was done is told beside it.
        std::FILE* const stream = command.output.empty() ? stderr : stdout;
        io::Output report(
            [stream](std::string_view text) { std::fwrite(text.data(), 1, text.size(), stream); });
        io::write_survey_text(report, made, command.output, io::Page{});
        report.finish();
    }
    return made.to_look_at() ? Status::outside_limits : Status::within_limits;
}

}  // namespace

void add_import(CLI::App& program, Action& action) {
    CLI::App* verb = program.add_subcommand(
        "import", "A case from a survey: points and lines in GeoJSON, or a table of points");
    const auto command = std::make_shared<ImportCommand>();
    verb->add_option("SURVEY", command->path, "GeoJSON (RFC 7946), or CSV where the name ends in .csv")
        ->required()
        ->type_name("FILE");
    add_output_file_option(*verb, command->output);
    verb->add_option("--snap", command->snap,
                     "what lies no farther apart meets (default: 0.5 ft; metric: 0.15 m)")
        ->type_name("LENGTH");
    verb->add_option("--units", command->units, "of bare numbers (default: of the file, else us)")
        ->check(CLI::IsMember({"us", "metric"}).description(""))
        ->type_name("us|metric");
    verb->add_option(
            "--origin", command->origin,
            "longitude and latitude of x = y = 0 (default: of the file, else its south-western corner)")
        ->type_name("\"LON LAT\"");
    verb->add_option("--key", command->keys,
                     "the property or column NAME gives the KEY of the case; may be given again")
        ->type_name("KEY=NAME");
    verb->add_option("--format", command->format, "of what was done")
        ->check(CLI::IsMember({"text", "json"}).description(""))
        ->type_name("text|json")
        ->default_str("text");
    verb->add_flag("--quiet", command->quiet, "nothing but the case, and errors");
    verb->footer(
        "A feature's type is supply, valve, head, point, pipe, area, or that of a device (meter, backflow "
        "...); "
        "its\nother properties are the keys of a case. What nobody surveyed becomes \"?\".\n"
        "Exit status 0; 1 where something nearly meets or is there twice; 2 where nothing was written.\n"
        "Example: evenhead import survey.geojson -o park.toml --snap \"1 ft\"\n"
        "         evenhead import points.csv -o park.toml --key id=Nr --key elev=Z");
    verb->callback([&action, command] { action = [command] { return import_survey(*command); }; });
}

}  // namespace evenhead::cli
