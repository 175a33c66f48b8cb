#include "bench/sitting.hpp"

#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <unistd.h>

#include <utility>

namespace evenhead::bench {
namespace {

// The table is the report's; a terminal sees how far it is.
class Progress : public benchmark::BenchmarkReporter {
  public:
    bool ReportContext(const Context&) override { return true; }
    void ReportRuns(const std::vector<Run>& runs) override {
        if (!terminal_) return;
        for (const Run& run : runs) fmt::print(stderr, "\r\033[K{}", run.run_name.function_name);
    }
    void Finalize() override {
        if (terminal_) fmt::print(stderr, "\r\033[K");
    }

  private:
    bool terminal_ = isatty(STDERR_FILENO) == 1;
};

}  // namespace

void Sitting::add(Row row, std::function<Measured()> measure) {
    entries_.push_back({std::move(row), std::move(measure)});
}

void Sitting::run() {
    bool timed = false;
    for (Entry& entry : entries_) {
        const auto repeat = [&entry, &timed](benchmark::State& state) {
            Seconds sum;
            double eigen_share = 0;
            for (auto _ : state) {
                const Measured measured = entry.measure();
                state.SetIterationTime(measured.time.wall);
                sum += measured.time;
                eigen_share += measured.eigen_share;
                entry.row.steps = measured.steps;
                if (measured.error != nullptr) entry.row.error = measured.error;
            }
            if (!timed) return;
            const auto solves = static_cast<double>(state.iterations());
            entry.row.times.push_back({sum.wall / solves, sum.processor / solves});
            entry.row.eigen_share = eigen_share / solves;
        };
        benchmark::RegisterBenchmark(entry.row.name().c_str(), repeat)
            ->UseManualTime()
            ->Unit(benchmark::kMillisecond)
            ->Iterations(entry.row.count);
    }
    Progress progress;
    for (int repeat = 0; repeat <= report_.settings().repeats; ++repeat) {
        timed = repeat > 0;
        benchmark::RunSpecifiedBenchmarks(&progress);
    }
    benchmark::ClearRegisteredBenchmarks();
    for (Entry& entry : entries_) {
        if (entry.row.eigen_share < 0.5)
            entry.row.error = "less than half of its time inside Eigen's solver: not written well enough";
        report_.add(entry.row);
    }
    entries_.clear();
}

}  // namespace evenhead::bench
