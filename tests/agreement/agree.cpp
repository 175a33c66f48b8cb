// Solves generated systems a second time, from the bare equations by KINSOL, and compares the pressures at
// the nozzles:
//     agree [--from SEED] [--count COUNT] [--heads MOST]
// From a cold start; where KINSOL ends nowhere from there, from the answer moved by 1 %. Pressures agree
// within 1e-7 of each; below 1 psi within 1e-7 psi. Exit status 1 where one does not, or where KINSOL finds
// no balance at all.
#include <cmath>
#include <cstdio>

#include <CLI/CLI.hpp>

#include "solver/balance/balance.hpp"
#include "tests/agreement/kinsol.hpp"
#include "tests/generator/random.hpp"
#include "tests/long/survey.hpp"

namespace evenhead::agreement {
namespace {

constexpr double tolerance = 1e-7, psi = 6894.757293168361;

struct Tally {
    int compared = 0, cold = 0, warm = 0, reasons = 0, wrong = 0;
    double largest = 0;  // difference, relative
    unsigned long long largest_seed = 0;
};

// Every unknown by up to 1 % of itself, either way.
std::vector<double> moved(std::vector<double> x, std::uint64_t seed) {
    tests::Random random(seed);
    for (double& value : x) value *= random.between(0.99, 1.01);
    return x;
}

// Largest relative difference of nozzle pressures; infinite where only one of the two has water.
double difference(const std::vector<double>& metres, const std::vector<double>& pascals, const Water& water) {
    double largest = 0;
    for (std::size_t h = 0; h < metres.size(); ++h) {
        const double a = water.pascals(metres[h]), b = pascals[h];
        if (std::isnan(a) && std::isnan(b)) continue;
        const double relative = std::abs(a - b) / std::max({std::abs(a), std::abs(b), psi});
        largest = relative <= largest ? largest : std::isnan(relative) ? INFINITY : relative;
    }
    return largest;
}

void compare(std::uint64_t seed, int most_heads, Tally& tally) {
    const auto number = static_cast<unsigned long long>(seed);
    const auto fail = [&](const std::string& text) {
        ++tally.wrong;
        std::printf("seed %llu: %s\n", number, text.c_str());
    };
    const tests::Generated made = tests::generate(seed, {1, most_heads, true});
    const solver::Network network = solver::build_network(made.system, made.layout);
    const solver::RunResult result = solver::balance_run(made.system, network, 0, made.system.runs[0].valves);
    const std::string wrong = tests::judge(made, result);
    if (!wrong.empty()) return fail(wrong.substr(0, 400));
    if (result.failure) {
        ++tally.reasons;
        return;
    }
    const Bare bare = make_bare(made.system, result.open);
    const Answer answer = answer_of(bare, made.system, result);
    const Equations equations(bare, answer);
    std::optional<std::vector<double>> found;
    bool cold = false;
    if (auto from_cold = solve_by_kinsol(equations, equations.cold_start());
        from_cold && equations.broken_states(*from_cold).empty()) {
        found = from_cold;
        cold = true;
    } else {
        found = solve_by_kinsol(equations, moved(equations.from_answer(answer), seed));
    }
    if (!found) return fail("KINSOL finds no balance, not even from 1 % beside the answer");
    if (const std::string broken = equations.broken_states(*found); !broken.empty())
        return fail("KINSOL's balance is in other states: " + broken.substr(0, 400));
    ++(cold ? tally.cold : tally.warm);
    ++tally.compared;
    const double apart = difference(equations.nozzle_pressures(*found), result.head_pressure, bare.water);
    if (apart > tally.largest) {
        tally.largest = apart;
        tally.largest_seed = number;
    }
    if (!(apart <= tolerance)) {
        char text[80];
        std::snprintf(text, sizeof text, "pressures differ by %.3g of themselves", apart);
        fail(text);
    }
}

}  // namespace
}  // namespace evenhead::agreement

int main(int count, char** words) {
    std::uint64_t first = 1;
    int systems = 2000, heads = 60;
    CLI::App options{
        "Solves generated systems a second time with KINSOL, and compares the pressures of all heads"};
    options.add_option("--from", first, "the first seed");
    options.add_option("--count", systems, "how many systems");
    options.add_option("--heads", heads, "most heads of each");
    CLI11_PARSE(options, count, words);
    evenhead::agreement::Tally tally;
    for (int i = 0; i < systems; ++i)
        evenhead::agreement::compare(first + static_cast<std::uint64_t>(i), heads, tally);
    std::printf(
        "%d systems compared; %d from a cold start, %d (%.1f %%) from 1 %% beside the answer, since KINSOL "
        "cannot solve them from cold\n",
        tally.compared, tally.cold, tally.warm, tally.compared ? 100.0 * tally.warm / tally.compared : 0.0);
    std::printf("%d with no or more than one balance, which they say\n", tally.reasons);
    std::printf("largest difference of a nozzle's pressure: %.3g of itself (seed %llu)\n", tally.largest,
                tally.largest_seed);
    std::printf("%d wrong\n", tally.wrong);
    return tally.wrong == 0 && tally.compared > 0 ? 0 : 1;
}
