#include "solver/runs/runs.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <exception>
#include <limits>
#include <mutex>
#include <thread>
#include <utility>

#include "model/position.hpp"
#include "solver/balance/balance.hpp"

namespace evenhead::solver {
namespace {

struct Judged {
    RunResult result;
    RunFindings findings;
};

/// Balances and judges single runs; the same from any thread.
class Judge {
  public:
    Judge(const model::System& system, const model::Layout& layout, bool record_steps)
        : system_(system),
          layout_(layout),
          record_steps_(record_steps),
          network_(build_network(system, layout)),
          basis_(prepare_rules(system, layout)),
          all_shut_(balance_shut(system, network_)),
          none_open_(balance_run(system, network_, model::none, {})) {}

    Judged judge(Index run) const {
        const std::vector<Index>& open = system_.runs[at(run)].valves;
        Judged judged;
        judged.result = balance_run(system_, network_, run, open, record_steps_);
        RunResult without;
        RuleContext context;
        context.basis = &basis_;
        context.all_shut = &all_shut_;
        context.without_valve = [&](Index valve) -> const RunResult& {
            if (open.size() == 1) return none_open_;
            std::vector<Index> others;
            std::copy_if(open.begin(), open.end(), std::back_inserter(others),
                         [&](Index v) { return v != valve; });
            without = balance_run(system_, network_, run, others);
            return without;
        };
        judged.findings = judge_run(system_, layout_, judged.result, context);
        return judged;
    }

    const RuleBasis& basis() const { return basis_; }
    const RunResult& all_shut() const { return all_shut_; }

  private:
    const model::System& system_;
    const model::Layout& layout_;
    bool record_steps_;
    Network network_;
    RuleBasis basis_;
    RunResult all_shut_, none_open_;
};

// Calls work(i) for every i below count on so many threads; what one throws is thrown here.
template <class Work>
void in_parallel(int threads, std::size_t count, const Work& work) {
    std::atomic<std::size_t> next = 0;
    std::exception_ptr thrown;
    std::mutex mutex;
    const auto worker = [&] {
        try {
            for (std::size_t i = next++; i < count; i = next++) work(i);
        } catch (...) {
            const std::lock_guard lock(mutex);
            if (!thrown) thrown = std::current_exception();
        }
    };
    {
        std::vector<std::jthread> helpers;
        for (int t = 1; t < threads && static_cast<std::size_t>(t) < count; ++t) helpers.emplace_back(worker);
        worker();
    }
    if (thrown) std::rethrow_exception(thrown);
}

}  // namespace

int default_threads() {
    return static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1U, 256U));
}

CheckSummary check_runs(const model::System& system, const model::Layout& layout, const CheckOptions& options,
                        const RunSink& sink) {
    const Judge judge(system, layout, options.record_steps);
    const int threads = options.threads > 0 ? options.threads : default_threads();
    CheckSummary summary;
    summary.critical_margin = std::numeric_limits<double>::quiet_NaN();
    SystemContext context;
    context.basis = &judge.basis();
    context.all_shut = &judge.all_shut();
    context.head_watered.assign(system.heads.size(), 0);
    context.run_states.assign(system.runs.size(), RunState::not_asked);

    std::vector<Index> runs;
    for (std::size_t run = 0; run < system.runs.size(); ++run) {
        if (options.only_run == model::none || options.only_run == static_cast<Index>(run)) {
            runs.push_back(static_cast<Index>(run));
        }
    }
    // A batch at a time, so that results wait in memory for their turn only while the batch lasts.
    const std::size_t batch = static_cast<std::size_t>(threads) * 16;
    std::vector<Judged> judged(std::min(batch, runs.size()));
    for (std::size_t first = 0; first < runs.size(); first += batch) {
        const std::size_t count = std::min(batch, runs.size() - first);
        in_parallel(threads, count, [&](std::size_t i) { judged[i] = judge.judge(runs[first + i]); });
        for (std::size_t i = 0; i < count; ++i) {
            const RunResult& result = judged[i].result;
            const RunFindings& findings = judged[i].findings;
            context.run_states[at(result.run)] = result.failure ? RunState::failed : RunState::solved;
            if (result.failure) {
                summary.solved = summary.within_limits = false;
            } else {
                add_watered(result, context.head_watered);
                for (const Finding& finding : findings.findings) summary.within_limits &= !finding.fails;
                // A head with nothing wanted is critical only where no head of any run has anything wanted.
                const double margin = findings.critical_margin, least = summary.critical_margin;
                const bool first_at_all =
                    findings.critical_head != model::none && summary.critical_head == model::none;
                if (first_at_all || margin < least || (std::isnan(least) && !std::isnan(margin))) {
                    summary.critical_run = result.run;
                    summary.critical_head = findings.critical_head;
                    summary.critical_margin = margin;
                }
            }
            sink(result, findings);
        }
    }

    SystemFindings whole = judge_system(system, layout, context);
    for (const Finding& finding : whole.findings) summary.within_limits &= !finding.fails;
    summary.findings = std::move(whole.findings);
    summary.warnings = std::move(whole.warnings);
    summary.not_checked = std::move(whole.not_checked);
    summary.rules_off = std::move(whole.rules_off);
    return summary;
}

RunResult solve_run(const model::System& system, const model::Layout& layout, Index run, bool record_steps) {
    return balance_run(system, build_network(system, layout), run, system.runs[at(run)].valves, record_steps);
}

model::System with_supply_changed(const model::System& system, double change) {
    model::System changed = system;
    for (model::Supply& supply : changed.supplies) {
        supply.static_pressure.value += change;
        for (model::ChartRow& test : supply.tests) test.value.value += change;
    }
    return changed;
}

}  // namespace evenhead::solver
