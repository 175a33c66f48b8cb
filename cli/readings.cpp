#include "cli/readings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>

#include "cli/verb.hpp"
#include "io/write/sentences.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::cli {

using model::Index;

void take_readings(const std::string& path, io::CaseReading& of) {
    if (path.empty()) return;
    const io::FileReading reading = io::read_readings(path, of);
    if (!reading.errors.empty()) refuse(reading.errors, reading.files, path);
}

std::optional<model::FaultPriors> take_priors(const std::string& path) {
    std::optional<model::FaultPriors> priors;
    if (path.empty()) return priors;
    const io::FileReading reading = io::read_priors(path, priors);
    if (!reading.errors.empty()) refuse(reading.errors, reading.files, path);
    return priors;
}

model::Spreads take_spreads(const std::string& path) {
    if (path.empty()) return model::usual_spreads();
    std::optional<model::Spreads> spreads;
    const io::FileReading reading = io::read_spreads(path, spreads);
    if (!spreads) refuse(reading.errors, reading.files, path);
    return *spreads;
}

std::vector<std::string> unsolved_readings(const model::System& system, const model::Layout& layout,
                                           Index complaint) {
    std::vector<Index> runs;
    const auto add = [&](Index run) {
        if (run != model::none && std::find(runs.begin(), runs.end(), run) == runs.end()) runs.push_back(run);
    };
    add(complaint);
    for (const model::Reading& reading : system.readings) add(reading.run);
    const io::Speaker speaker{system, io::ShownUnits::of_text(system)};
    for (const Index run : runs) {
        const auto result = solver::solve_run(system, layout, run);
        if (!result.failure) continue;
        std::vector<std::string> sentences = io::failure_sentences(speaker, *result.failure);
        sentences.insert(
            sentences.begin(),
            fmt::format("as drawn, run {} has no proven solution, so its readings say nothing yet:",
                        io::element_id(system, {solver::ElementKind::run, run})));
        return sentences;
    }
    return {};
}

void refuse_without_readings(const model::System& system, const std::string& path, std::string_view verb) {
    if (!system.readings.empty()) return;
    throw UsageError(
        fmt::format("{} has no readings to go by; write them into it (readings = [ {{ run = \"{}\", at = "
                    "\"{}\", pressure = 31 }}, ... ]), or into a file of their own: evenhead {} CASE "
                    "readings.csv, with the columns run, at, pressure, flow",
                    path, system.runs.front().id, system.points.back().id, verb));
}

bool say_unsolved(const model::System& system, const model::Layout& layout, Index complaint) {
    const std::vector<std::string> sentences = unsolved_readings(system, layout, complaint);
    std::string text;
    for (std::size_t i = 0; i < sentences.size(); ++i)
        text += (i == 0 ? "evenhead: " : "  ") + sentences[i] + "\n";
    std::fputs(text.c_str(), stderr);
    return !sentences.empty();
}

}  // namespace evenhead::cli
