// Outage: each gate and each pipe of the mainline shut in turn, and which heads of which runs miss it. A run
// in which nothing flows through what is shut stays as it is.
#include <algorithm>
#include <cmath>

#include "model/position.hpp"
#include "solver/parallel.hpp"
#include "solver/review/review.hpp"
#include "solver/review/trial.hpp"
#include "solver/rules/rule.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

enum class State : char { fine, low, dry };

State state_of(const model::System& system, const RunResult& result, Index head) {
    if (!(result.head_flow[at(head)] > 0)) return State::dry;
    const auto wanted = wanted_pressure(system, head);
    const double pressure = result.head_pressure[at(head)];
    return wanted && outside(pressure, *wanted, false, model::Dimension::pressure) ? State::low : State::fine;
}

/// A run as given: what water flows through, and how its heads stand.
struct RunAsGiven {
    bool solved = false;
    std::vector<char> pipe_flows, device_flows;
    std::vector<Index> heads;
    std::vector<State> states;
};

RunAsGiven as_given(const model::System& system, const model::Layout& layout, const RunResult& result) {
    RunAsGiven run;
    run.solved = !result.failure;
    if (!run.solved) return run;
    const double no_flow = 1e-12 + 1e-9 * result.flow;
    for (const double flow : result.pipe_flow) run.pipe_flows.push_back(std::abs(flow) > no_flow);
    for (const double flow : result.device_flow) run.device_flows.push_back(std::abs(flow) > no_flow);
    run.heads = heads_of_run(system, layout, result.run);
    for (const Index head : run.heads) run.states.push_back(state_of(system, result, head));
    return run;
}

/// A balance takes about its number of points; beyond so many of them nobody waits for the rest.
constexpr std::size_t most_work = 400'000'000;

class Outages {
  public:
    Outages(const model::System& system, const model::Layout& layout, int threads)
        : system_(system), layout_(layout), threads_(at(threads)), runs_(system.runs.size()) {
        std::vector<std::optional<ReviewTrial>> trials(threads_);
        in_parallel(threads_, runs_.size(), [&](std::size_t worker, std::size_t run) {
            if (!trials[worker]) trials[worker].emplace(system, layout);
            runs_[run] = as_given(system, layout, trials[worker]->balance(static_cast<Index>(run)));
        });
    }

    OutageReview review() {
        OutageReview found;
        const std::vector<ElementRef> closed = affordable(candidates(found));
        std::vector<std::vector<Outage>> rows(closed.size());
        in_parallel(threads_, closed.size(),
                    [&](std::size_t, std::size_t i) { rows[i] = without(closed[i]); });
        for (auto& of_one : rows)
            for (Outage& row : of_one) found.rows.push_back(std::move(row));
        found.left_out = found.gates + found.pipes - closed.size();
        found.gates =
            static_cast<std::size_t>(std::count_if(closed.begin(), closed.end(), [](const ElementRef& one) {
                return one.kind == ElementKind::device;
            }));
        found.pipes = closed.size() - found.gates;
        return found;
    }

  private:
    std::vector<ElementRef> candidates(OutageReview& found) const {
        std::vector<ElementRef> closed;
        for (std::size_t d = 0; d < system_.devices.size(); ++d)
            if (system_.devices[d].type == model::DeviceType::gate && !system_.devices[d].closed)
                closed.push_back({ElementKind::device, static_cast<Index>(d)});
        found.gates = closed.size();
        for (std::size_t p = 0; p < system_.pipes.size(); ++p)
            if (layout_.pipe_on_mainline[p] != 0 && !system_.pipes[p].closed)
                closed.push_back({ElementKind::pipe, static_cast<Index>(p)});
        found.pipes = closed.size() - found.gates;
        return closed;
    }

    static bool flows(const RunAsGiven& run, const ElementRef& closed) {
        return run.solved &&
               (closed.kind == ElementKind::pipe ? run.pipe_flows : run.device_flows)[at(closed.index)] != 0;
    }

    /// As many as the work allows, those first that few runs pass; in the order in which they came.
    std::vector<ElementRef> affordable(const std::vector<ElementRef>& closed) const {
        std::vector<std::size_t> work(closed.size()), order(closed.size());
        for (std::size_t i = 0; i < closed.size(); ++i) {
            std::size_t balances = 10;  // to build the network costs about as much
            for (const RunAsGiven& run : runs_) balances += flows(run, closed[i]) ? 1 : 0;
            work[i] = balances * system_.points.size();
            order[i] = i;
        }
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t one, std::size_t other) { return work[one] < work[other]; });
        std::size_t sum = 0, count = 0;
        while (count < order.size() && (sum += work[order[count]]) <= most_work) ++count;
        order.resize(count);
        std::sort(order.begin(), order.end());
        std::vector<ElementRef> chosen;
        chosen.reserve(order.size());
        for (const std::size_t i : order) chosen.push_back(closed[i]);
        return chosen;
    }

    std::vector<Outage> without(const ElementRef& closed) const {
        std::vector<Outage> rows;
        model::System changed = system_;
        if (closed.kind == ElementKind::pipe)
            changed.pipes[at(closed.index)].closed = true;
        else
            changed.devices[at(closed.index)].closed = true;
        std::optional<ReviewTrial> trial;
        for (std::size_t run = 0; run < runs_.size(); ++run) {
            if (!flows(runs_[run], closed)) continue;
            if (!trial) trial.emplace(changed, layout_);
            Outage row = compare(closed, runs_[run], trial->balance(static_cast<Index>(run)));
            row.run = static_cast<Index>(run);
            if (!row.heads.empty() || row.unsolved) rows.push_back(std::move(row));
        }
        return rows;
    }

    Outage compare(const ElementRef& closed, const RunAsGiven& given, const RunResult& result) const {
        Outage row;
        row.closed = closed;
        const bool no_water = result.failure && result.failure->kind == "no-supply";
        row.unsolved = result.failure && !no_water;
        if (row.unsolved) return row;
        for (std::size_t i = 0; i < given.heads.size(); ++i) {
            const Index head = given.heads[i];
            const State now = no_water ? State::dry : state_of(system_, result, head);
            if (now <= given.states[i]) continue;
            row.heads.push_back(head);
            if (now == State::dry) row.dry.push_back(head);
        }
        return row;
    }

    const model::System& system_;
    const model::Layout& layout_;
    std::size_t threads_;
    std::vector<RunAsGiven> runs_;
};

}  // namespace

OutageReview review_outages(const model::System& system, const model::Layout& layout, int threads) {
    return Outages(system, layout, threads).review();
}

}  // namespace evenhead::solver
