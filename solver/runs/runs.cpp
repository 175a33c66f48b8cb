#include "solver/runs/runs.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <thread>
#include <utility>

#include "model/position.hpp"
#include "solver/parallel.hpp"
#include "solver/runs/judge.hpp"

namespace evenhead::solver {

int default_threads() {
    return static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1U, 256U));
}

CheckSummary check_runs(const model::System& system, const model::Layout& layout, const CheckOptions& options,
                        const RunSink& sink) {
    const JudgeBasis shared(system, layout);
    const auto threads = at(options.threads > 0 ? options.threads : default_threads());
    CheckSummary summary;
    summary.critical_margin = std::numeric_limits<double>::quiet_NaN();
    SystemContext context;
    context.basis = &shared.rules;
    context.all_shut = &shared.all_shut;
    context.head_watered.assign(system.heads.size(), 0);
    context.keep_worst = options.keep_worst;
    context.run_states.assign(system.runs.size(), RunState::not_asked);

    std::vector<Index> runs;
    for (std::size_t run = 0; run < system.runs.size(); ++run) {
        if (options.only_run == model::none || options.only_run == static_cast<Index>(run)) {
            runs.push_back(static_cast<Index>(run));
        }
    }
    // A batch at a time, so that results wait in memory for their turn only while the batch lasts; of a very
    // large system few results are much already.
    constexpr std::size_t most_waiting = 2'000'000;  // rows of pipes, points and heads
    const std::size_t rows = system.pipes.size() + system.points.size() + system.heads.size() + 1;
    const std::size_t batch = threads * std::clamp<std::size_t>(most_waiting / (threads * rows), 1, 16);
    std::vector<Judged> judged(std::min(batch, runs.size()));
    std::vector<std::optional<RunJudge>> judges(threads);
    for (std::size_t first = 0; first < runs.size(); first += batch) {
        const std::size_t count = std::min(batch, runs.size() - first);
        in_parallel(threads, count, [&](std::size_t worker, std::size_t i) {
            if (!judges[worker]) judges[worker].emplace(shared, options.record_steps, options.keep_worst);
            const Index run = runs[first + i];
            judges[worker]->judge(run, system.runs[at(run)].valves, judged[i]);
        });
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
    summary.worst = std::move(whole.worst);
    return summary;
}

RunResult solve_run(const model::System& system, const model::Layout& layout, Index run, bool record_steps) {
    return balance_run(system, build_network(system, layout), run, system.runs[at(run)].valves, record_steps);
}

}  // namespace evenhead::solver
