// What a balance costs: reading excluded, network built once, one run from cold. Figures are for comparing
// two builds on one machine in one sitting; they are no promise.
#include <benchmark/benchmark.h>

#include "solver/balance/balance.hpp"
#include "tests/generator/generator.hpp"

namespace evenhead {
namespace {

tests::Generated ordinary(int heads) {
    return tests::generate(1, {heads, heads, false});
}

// The generated mains are sized for a few heads: with every valve open most of them starve, the hard case.
void balance_all_valves(benchmark::State& state) {
    const tests::Generated made = ordinary(static_cast<int>(state.range(0)));
    const solver::Network network = solver::build_network(made.system, made.layout);
    std::vector<model::Index> open;
    for (std::size_t valve = 0; valve < made.system.valves.size(); ++valve)
        open.push_back(static_cast<model::Index>(valve));
    int steps = 0;
    for (auto _ : state) {
        const solver::RunResult result = solver::balance_run(made.system, network, 0, open);
        if (!result.closure.solved) state.SkipWithError("not closed");
        steps = result.closure.steps;
    }
    state.counters["steps"] = steps;
    state.counters["heads"] = benchmark::Counter(static_cast<double>(state.iterations() * state.range(0)),
                                                 benchmark::Counter::kIsRate);
}
BENCHMARK(balance_all_valves)->Arg(24)->Arg(240)->Unit(benchmark::kMicrosecond);

void build_network(benchmark::State& state) {
    const tests::Generated made = ordinary(static_cast<int>(state.range(0)));
    for (auto _ : state)
        benchmark::DoNotOptimize(solver::build_network(made.system, made.layout).elements.size());
    state.counters["heads"] = benchmark::Counter(static_cast<double>(state.iterations() * state.range(0)),
                                                 benchmark::Counter::kIsRate);
}
BENCHMARK(build_network)->Arg(24)->Arg(2400)->Unit(benchmark::kMicrosecond);

}  // namespace
}  // namespace evenhead
