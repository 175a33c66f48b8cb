#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string_view>
#include <system_error>

#include "cli/verb.hpp"
#include "io/write/issues.hpp"
#include "io/write/sentences.hpp"
#include "model/nearest.hpp"
#include "solver/network/network.hpp"

namespace evenhead::cli {

void add_output_options(CLI::App& verb, OutputOptions& options, const std::vector<std::string>& formats) {
    verb.add_option("--format", options.format, "of the result")
        ->check(CLI::IsMember(formats).description(""))
        ->type_name(fmt::format("{}", fmt::join(formats, "|")))
        ->default_str("text");
    add_output_file_option(verb, options.output);
    verb.add_flag("--all", options.all, "every row, not the first 20 of each table");
    verb.add_flag("--wide", options.wide, "lines as long as they come, not 60 columns");
}

Status status_of(const solver::CheckSummary& summary) {
    if (!summary.solved) return Status::no_solution;
    return summary.within_limits ? Status::within_limits : Status::outside_limits;
}

void add_output_file_option(CLI::App& verb, std::string& file) {
    verb.add_option("-o,--output", file, "write to FILE instead of the screen: whole or not at all")
        ->check([](const std::string& name) { return name.empty() ? "it names no file" : ""; }, "", "")
        ->type_name("FILE");
}

bool names_a_workbook(std::string file) {
    constexpr std::string_view ending = ".xlsx";
    if (file.size() < ending.size()) return false;
    file.erase(0, file.size() - ending.size());
    for (char& c : file)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return file == ending;
}

void add_threads_option(CLI::App& verb, int& threads) {
    verb.add_option("--threads", threads,
                    "how many runs, or cases, to solve at once (default: as many as the machine has cores)")
        ->check(CLI::Range(0, 1024).description(""))
        ->type_name("N");
}

io::Page page_of(const OutputOptions& options, const io::Output& output) {
    // NOLINTBEGIN(concurrency-mt-unsafe): asked before any thread is started, and nobody sets them
    const char* no_colour = std::getenv("NO_COLOR");
    const char* terminal = std::getenv("TERM");
    // NOLINTEND(concurrency-mt-unsafe)
    io::Page page;
    page.all = options.all;
    page.wide = options.wide;
    page.colour = output.terminal() && (no_colour == nullptr || *no_colour == '\0') && terminal != nullptr &&
                  std::string_view(terminal) != "dumb";
    return page;
}

void refuse(const std::vector<model::Issue>& errors, const std::vector<std::string>& files,
            const std::string& path) {
    std::fputs(refusal_text(errors, files, path, "nothing was written").c_str(), stderr);
    throw CaseRefused();
}

namespace {

io::CaseReading or_refuse(io::CaseReading reading, const std::string& path) {
    if (!reading.errors.empty()) refuse(reading.errors, reading.files, path);
    return reading;
}

}  // namespace

std::string refusal_text(const std::vector<model::Issue>& errors, const std::vector<std::string>& files,
                         const std::string& path, std::string_view consequence) {
    io::IssuePrinter printer(files, path);
    std::string text;
    for (const auto& issue : errors) text += printer.text(issue, "error");
    return text + fmt::format("{}: {} to mend; {}.\n", io::printable(path),
                              io::counted(errors.size(), "error"), consequence);
}

io::CaseReading read_case_and_unknowns(const std::string& path) {
    io::CaseReading reading = io::read_case(path);
    if (reading.errors.empty()) reading.errors = solver::unknown_values(*reading.system);
    return reading;
}

io::CaseReading read_case_or_refuse(const std::string& path) {
    return or_refuse(io::read_case(path), path);
}

io::CaseReading read_case_to_balance(const std::string& path) {
    return or_refuse(read_case_and_unknowns(path), path);
}

void say_warnings(const io::CaseReading& reading, const std::string& path) {
    io::IssuePrinter printer(reading.files, path);
    constexpr std::size_t most_said = 20;
    for (std::size_t i = 0; i < std::min(most_said, reading.warnings.size()); ++i)
        std::fputs(printer.text(reading.warnings[i], "warning").c_str(), stderr);
    if (reading.warnings.size() > most_said)
        std::fputs(fmt::format("and {} more warnings; the JSON result lists them all.\n",
                               reading.warnings.size() - most_said)
                       .c_str(),
                   stderr);
}

void refuse_to_overwrite(const std::vector<std::string>& files, const std::string& case_path,
                         const std::string& output, std::string_view option) {
    if (output.empty()) return;
    std::vector<std::filesystem::path> inputs{case_path};
    for (const std::string& file : files) {
        inputs.emplace_back(file);
        inputs.push_back(std::filesystem::path(case_path).parent_path() / file);
    }
    for (const auto& input : inputs) {
        std::error_code error;
        if (std::filesystem::equivalent(input, output, error) && !error)
            throw UsageError(fmt::format("{} {} is a file of the case itself; name another", option, output));
    }
}

model::Index find_run(const model::System& system, const std::string& id) {
    model::NearestName nearest(id);
    for (std::size_t i = 0; i < system.runs.size(); ++i) {
        if (system.runs[i].id == id) return static_cast<model::Index>(i);
        nearest.offer(system.runs[i].id);
    }
    const auto found = nearest.found();
    throw UsageError(fmt::format("--run {}: this case has no such run; {}", id,
                                 found ? fmt::format("the nearest is {}", *found)
                                       : fmt::format("its first is {}", system.runs.front().id)));
}

}  // namespace evenhead::cli
