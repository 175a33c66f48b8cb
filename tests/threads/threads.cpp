// Many runs of generated systems on one thread and on four, and reviews of some of them: the same numbers to
// the bit, and nothing for the thread sanitizer to say.
#include <algorithm>
#include <cstdio>
#include <cstring>
#include <vector>

#include "solver/review/review.hpp"
#include "solver/runs/runs.hpp"
#include "tests/generator/generator.hpp"
#include "tests/generator/random.hpp"

using namespace evenhead;

namespace {

constexpr int systems = 60, runs_of_each = 40, reviews = 20, runs_reviewed = 4;
constexpr int failed = 1;

/// Any set of valves, drawn from the seed; all of them in the first run.
void add_runs(model::System& system, std::uint64_t seed) {
    if (system.valves.empty()) return;
    tests::Random random(seed);
    system.runs.clear();
    for (int i = 0; i < runs_of_each; ++i) {
        model::Run run;
        run.id = "run" + std::to_string(i);
        for (std::size_t valve = 0; valve < system.valves.size(); ++valve)
            if (i == 0 || random.chance(0.4)) run.valves.push_back(static_cast<model::Index>(valve));
        system.runs.push_back(run);
    }
}

/// Every number of every run, one behind the other.
std::vector<double> numbers(const tests::Generated& made, int threads) {
    std::vector<double> all;
    solver::CheckOptions options;
    options.threads = threads;
    const auto summary = solver::check_runs(
        made.system, made.layout, options,
        [&](const solver::RunResult& result, const solver::RunFindings& findings) {
            all.push_back(result.run);
            all.push_back(result.closure.steps);
            all.push_back(static_cast<double>(findings.findings.size()));
            for (const auto* part :
                 {&result.supply_flow, &result.head_flow, &result.head_pressure, &result.point_pressure,
                  &result.pipe_flow, &result.device_outlet, &result.valve_outlet})
                all.insert(all.end(), part->begin(), part->end());
            for (const solver::Finding& finding : findings.findings) all.push_back(finding.value);
        });
    all.push_back(static_cast<double>(summary.findings.size()));
    return all;
}

/// Every number of a review.
std::vector<double> review_numbers(const tests::Generated& made, int threads) {
    solver::ReviewOptions options;
    options.threads = threads;
    const solver::Review review = solver::review(made.system, made.layout, options);
    std::vector<double> all;
    for (const auto& row : review.rules.rows)
        all.insert(all.end(), {static_cast<double>(row.run), static_cast<double>(row.worst.subject.index),
                               row.worst.value, row.worst.limit, row.deciding ? 1.0 : 0.0});
    for (const auto& row : review.rules.findings) all.push_back(row.finding.value);
    for (const auto& row : review.outage.rows)
        for (const auto head : row.heads) all.push_back(head);
    for (const auto& row : review.margins) all.push_back(row.drop);
    for (const auto& row : review.repairs.rows) all.push_back(row.gain);
    return all;
}

bool same_bits(const std::vector<double>& one, const std::vector<double>& other) {
    return one.size() == other.size() &&
           std::memcmp(one.data(), other.data(), one.size() * sizeof(double)) == 0;
}

}  // namespace

int main() {
    std::size_t compared = 0;
    for (std::uint64_t seed = 1; seed <= systems; ++seed) {
        tests::Generated made = tests::generate(seed, {1, 40, true});
        add_runs(made.system, seed);
        const std::vector<double> one = numbers(made, 1);
        if (!same_bits(one, numbers(made, 4))) {
            std::printf("seed %d: four threads give other numbers than one\n", static_cast<int>(seed));
            return failed;
        }
        compared += one.size();
        if (seed > reviews) continue;
        made.system.runs.resize(std::min<std::size_t>(made.system.runs.size(), runs_reviewed));
        const std::vector<double> reviewed = review_numbers(made, 1);
        if (!same_bits(reviewed, review_numbers(made, 4))) {
            std::printf("seed %d: the review differs on four threads\n", static_cast<int>(seed));
            return failed;
        }
        compared += reviewed.size();
    }
    std::printf("%zu numbers of %d systems, the same on one thread and on four\n", compared, systems);
}
