// Balances generated systems, judges every answer, and tells how many linear solves they took:
//     long_solve [--from SEED] [--small COUNT] [--large COUNT] [--threads COUNT]
// Small ones have 1 to 300 heads, large ones 10,000. Exit status 1 where a bar is missed.
#include <chrono>
#include <cstdio>

#include <CLI/CLI.hpp>

#include "tests/long/survey.hpp"

namespace {

using evenhead::tests::GeneratorOptions;
using evenhead::tests::Survey;

void print_histogram(const Survey& survey) {
    constexpr int width = 10;
    for (int low = 0; low <= survey.most(); low += width) {
        int systems = 0;
        for (int i = low; i < low + width && i <= survey.most(); ++i)
            systems += survey.solves[static_cast<std::size_t>(i)];
        if (systems > 0) std::printf("  %3d to %3d solves  %7d systems\n", low, low + width - 1, systems);
    }
}

bool run(const char* what, std::uint64_t first, int count, const GeneratorOptions& options, int threads) {
    if (count == 0) return true;
    const auto start = std::chrono::steady_clock::now();
    const Survey survey = evenhead::tests::survey(first, count, options, threads);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    std::printf(
        "%d systems of %s, seeds %llu to %llu: %.0f s\n", count, what, static_cast<unsigned long long>(first),
        static_cast<unsigned long long>(first) + static_cast<unsigned long long>(count) - 1, took.count());
    print_histogram(survey);
    std::printf("  %zu above %d solves:", survey.slow.size(), evenhead::tests::few_solves);
    for (const Survey::Seed& seed : survey.slow)
        std::printf(" %llu (%d)", static_cast<unsigned long long>(seed.seed), seed.solves);
    std::printf("\n  %zu with no or more than one balance, which they say:", survey.with_reason.size());
    for (const Survey::Seed& seed : survey.with_reason)
        std::printf(" %llu (%s)", static_cast<unsigned long long>(seed.seed), seed.text.c_str());
    std::printf(
        "\n  no head runs in %d, a one-way element is shut by back pressure in %d, a sprung one in %d\n",
        survey.still, survey.held_back, survey.sprung_held_back);
    const std::string missed = missed_bars(survey);
    std::printf("%s%s", missed.c_str(), missed.empty() ? "  every bar is met\n" : "");
    std::fflush(stdout);
    return missed.empty();
}

}  // namespace

int main(int count, char** words) {
    std::uint64_t first = 1;
    int small = 100000, large = 200, threads = 2;
    CLI::App options{"Balances generated systems, and prints how many linear solves they took"};
    options.add_option("--from", first, "the first seed");
    options.add_option("--small", small, "how many systems of 1 to 300 heads");
    options.add_option("--large", large, "how many of 10,000 heads");
    options.add_option("--threads", threads, "in how many threads");
    CLI11_PARSE(options, count, words);
    const bool small_good = run("1 to 300 heads", first, small, {1, 300, true}, threads);
    const bool large_good = run("10,000 heads", first, large, {10000, 10000, true}, threads);
    return small_good && large_good ? 0 : 1;
}
