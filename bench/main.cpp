#include <malloc.h>

#include <CLI/CLI.hpp>
#include <exception>
#include <iostream>
#include <map>
#include <string>

#include "bench/parts.hpp"

int main(int count, char** words) {
    using namespace evenhead::bench;
    Settings settings;
    CLI::App options("Times the balance beside two baselines; prints a table and writes JSON.");
    const std::vector<std::string> parts{"sizes", "golf", "city", "reading", "limit"};
    const std::map<std::string, ClockKind> clocks{{"wall", ClockKind::wall},
                                                  {"processor", ClockKind::processor}};
    options.add_option("--parts", settings.parts, "Which parts to run; default: all")
        ->delimiter(',')
        ->check(CLI::IsMember(parts));
    options.add_option("--most-heads", settings.most_heads, "Leave larger systems out")
        ->check(CLI::PositiveNumber);
    options.add_option("--repeats", settings.repeats, "Times each row is measured")
        ->check(CLI::PositiveNumber);
    options.add_option("--seed", settings.seed, "Of the systems");
    options.add_option("--clock", settings.clock, "wall, or processor where others use the machine")
        ->transform(CLI::CheckedTransformer(clocks));
    options.add_option("--json", settings.json, "File to write");
    options.add_option("--commit", settings.commit, "Noted in the file");
    options.add_option("--case-folder", settings.case_folder,
                       "Where to write, and leave, the case that is read");
    CLI11_PARSE(options, count, words);

    // Memory that was touched once stays with this process: no row pays for the system's handing out of
    // pages.
    mallopt(M_MMAP_MAX, 0);
    mallopt(M_TRIM_THRESHOLD, -1);
    mallopt(M_TOP_PAD, 64 << 20);

    try {
        Report report(settings);
        if (settings.runs_part("sizes")) measure_sizes(report);
        if (settings.runs_part("limit")) measure_limit(report);
        if (settings.runs_part("golf")) measure_golf(report);
        if (settings.runs_part("city")) measure_city(report);
        if (settings.runs_part("reading")) measure_reading(report);
        report.print_table();
        if (!settings.json.empty()) report.write_json();
        return 0;
    } catch (const std::exception& error) {
        std::cerr << error.what() << "\n";
        return 1;
    }
}
