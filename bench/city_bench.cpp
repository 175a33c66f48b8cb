#include <algorithm>
#include <atomic>
#include <numeric>
#include <string>
#include <thread>
#include <vector>

#include "bench/parts.hpp"
#include "bench/sitting.hpp"
#include "bench/systems.hpp"
#include "model/position.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::bench {
namespace {

class City {
  public:
    explicit City(std::uint64_t seed) {
        const std::vector<ParkSize> sizes = city_sizes(seed);
        for (const ParkSize& size : sizes) {
            seed += 1;
            parks_.push_back(park(size, seed));
            heads_ += size.heads;
            runs_ += static_cast<int>(parks_.back().system.runs.size());
        }
        // The largest first, so that no thread is left alone with it at the end.
        std::sort(parks_.begin(), parks_.end(), [](const Built& a, const Built& b) {
            return a.system.heads.size() > b.system.heads.size();
        });
    }

    int heads() const { return heads_; }
    int runs() const { return runs_; }

    // Threads take whole systems, one after the other.
    Measured check(int threads) const {
        std::atomic<std::size_t> next = 0;
        std::atomic<int> open = 0;
        const Stopwatch stopwatch;
        const auto work = [&] {
            solver::CheckOptions options;
            options.threads = 1;
            for (std::size_t i = next++; i < parks_.size(); i = next++) {
                solver::check_runs(parks_[i].system, parks_[i].layout, options,
                                   [&](const solver::RunResult& result, const solver::RunFindings&) {
                                       if (!result.closure.solved) ++open;
                                   });
            }
        };
        {
            std::vector<std::jthread> helpers;
            for (int t = 1; t < threads; ++t) helpers.emplace_back(work);
            work();
        }
        return {stopwatch.passed(), 0, not_measured, open == 0 ? nullptr : "not closed"};
    }

  private:
    std::vector<Built> parks_;
    int heads_ = 0, runs_ = 0;
};

}  // namespace

void measure_city(Report& report) {
    const City city(report.settings().seed);
    Row one, two;
    one.part = two.part = "city";
    one.heads = two.heads = city.heads();
    one.who = two.who = "ours";
    one.note = two.note = "258 systems, " + std::to_string(city.runs()) + " runs with rules";
    one.what = "all runs, rules, 1 thread";
    two.what = "all runs, rules, 2 threads";
    Sitting sitting(report);
    sitting.add(one, [&] { return city.check(1); });
    sitting.add(two, [&] { return city.check(2); });
    sitting.run();
    // A processor's clock does not tell how long two threads take.
    const auto wall = [&](const Row& row) {
        std::vector<double> seconds;
        for (const Seconds& time : report.find("city", row.what, "ours", city.heads())->times)
            seconds.push_back(time.wall);
        std::nth_element(seconds.begin(), seconds.begin() + static_cast<long>(seconds.size() / 2),
                         seconds.end());
        return seconds[seconds.size() / 2];
    };
    report.ratio("two_threads_city", wall(one) / wall(two));
}

}  // namespace evenhead::bench
