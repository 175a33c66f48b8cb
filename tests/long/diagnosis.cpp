// Faults planted in shipped systems and diagnosed: every place of each, or as many as are asked for.
#include <CLI/CLI.hpp>

#include <cstdio>
#include <iterator>

#include "io/read/case.hpp"
#include "tests/simulation/simulation.hpp"

using namespace evenhead;

int main(int argc, char** argv) {
    CLI::App app("Plants faults in cases, simulates readings, and counts what the diagnosis finds.");
    tests::SimulationOptions options;
    std::vector<std::string> cases;
    bool list = false;
    app.add_option("CASE", cases)->required();
    app.add_option("--seed", options.seed);
    app.add_option("--cases", options.cases, "as many, drawn by the prior table; 0: every place once");
    app.add_option("--readings", options.readings, "in all, three of them given");
    app.add_option("--threads", options.threads);
    app.add_flag("--list", list, "what is not found");
    CLI11_PARSE(app, argc, argv);
    std::vector<tests::Simulated> all;
    for (const std::string& path : cases) {
        const io::CaseReading reading = io::read_case(path);
        if (!reading.system) {
            std::fprintf(stderr, "%s: the case has errors\n", path.c_str());
            return 2;
        }
        auto simulated = tests::simulate(*reading.system, reading.layout, options);
        std::printf("%s: %s", path.c_str(), tests::score_text(tests::score(simulated)).c_str());
        std::move(simulated.begin(), simulated.end(), std::back_inserter(all));
    }
    if (list)
        for (const auto& of : all)
            if (!of.first) std::printf("missed: %s\n", of.words.c_str());
    const tests::Score score = tests::score(all);
    std::printf("all: %s", tests::score_text(score).c_str());
    const auto share = [](std::size_t part, std::size_t whole) {
        return static_cast<double>(part) / static_cast<double>(std::max<std::size_t>(1, whole));
    };
    bool met = share(score.first, score.faults) >= 0.95 && share(score.among_three, score.faults) >= 0.99 &&
               score.median_places <= 3 &&
               (score.healthy == 0 || share(score.healthy_first, score.healthy) >= 0.95);
    const double in_band = share(score.in_band, score.with_band);
    met = met && in_band >= 0.85 && in_band <= 0.95;
    for (const auto& bin : score.bins)
        if (bin.count >= 200)
            met = met &&
                  tests::calibrated(bin.right, bin.count, bin.probability / static_cast<double>(bin.count));
    std::puts(met ? "every bar is met" : "a bar is missed");
    return met ? 0 : 1;
}
