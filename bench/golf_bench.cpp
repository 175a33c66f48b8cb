#include <algorithm>
#include <cmath>
#include <iterator>
#include <vector>

#include "bench/drawing.hpp"
#include "bench/parts.hpp"
#include "bench/sitting.hpp"
#include "bench/systems.hpp"
#include "bench/textbook.hpp"
#include "bench/whole_graph.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::bench {
namespace {

constexpr int threads = 2, drawn = 20;

// What all runs together say of a drawn station: kept, to be compared with its own cold solve.
struct Kept {
    Index run = model::none;
    double head_pressure = 0;            // Pa
    std::vector<double> point_pressure;  // Pa
};

// Pa; positions where both know no pressure agree.
double apart(double one, double other) {
    if (std::isnan(one) && std::isnan(other)) return 0;
    const double off = std::abs(one - other);
    return std::isnan(off) ? solver::infinity : off;
}

class Golf {
  public:
    explicit Golf(std::uint64_t seed)
        : made_(golf_course(seed)),
          network_(solver::build_network(made_.system, made_.layout)),
          whole_(whole_graph(made_.system, network_)) {
        Random random(seed + 1);
        const auto runs = static_cast<int>(made_.system.runs.size());
        while (kept_.size() < drawn) {
            const Index run = random.below(runs);
            if (std::none_of(kept_.begin(), kept_.end(), [&](const Kept& kept) { return kept.run == run; }))
                kept_.push_back({run, 0, {}});
        }
        std::sort(kept_.begin(), kept_.end(), [](const Kept& a, const Kept& b) { return a.run < b.run; });
    }

    int stations() const { return static_cast<int>(made_.system.runs.size()); }

    Measured all_runs() {
        Measured measured;
        std::size_t next = 0;
        solver::CheckOptions options;
        options.threads = threads;
        const Stopwatch stopwatch;
        solver::check_runs(made_.system, made_.layout, options,
                           [&](const solver::RunResult& result, const solver::RunFindings&) {
                               if (!result.closure.solved) measured.error = "not closed";
                               measured.steps = std::max(measured.steps, result.closure.steps);
                               if (next < kept_.size() && result.run == kept_[next].run) {
                                   kept_[next].head_pressure = result.head_pressure[at(head_of(result.run))];
                                   kept_[next].point_pressure = result.point_pressure;
                                   ++next;
                               }
                           });
        measured.time = stopwatch.passed();
        return measured;
    }

    // The drawn stations one after another: the sum of their cold solves, each of the whole graph.
    Measured textbook() {
        Measured sum;
        double in_eigen = 0;
        for (const Kept& kept : kept_) {
            const std::vector<char> open = open_with(whole_, made_.system.runs[at(kept.run)].valves);
            const Stopwatch stopwatch;
            Textbook textbook(made_.system, whole_);
            if (!textbook.solve(open)) sum.error = "not solved";
            sum.time += stopwatch.passed();
            in_eigen += textbook.eigen_time().processor;
            sum.steps = std::max(sum.steps, textbook.steps());
        }
        sum.eigen_share = in_eigen / sum.time.processor;
        return sum;
    }

    // psi, from the drawn stations' own cold solves: of the head and of every point.
    double own_agreement() const {
        double worst = 0;
        for (const Kept& kept : kept_) {
            const solver::RunResult own = solver::solve_run(made_.system, made_.layout, kept.run);
            worst = std::max(worst, apart(kept.head_pressure, own.head_pressure[at(head_of(kept.run))]));
            for (std::size_t i = 0; i < own.point_pressure.size(); ++i)
                worst = std::max(worst, apart(kept.point_pressure[i], own.point_pressure[i]));
        }
        return worst / psi;
    }
    double textbook_agreement() const {
        double worst = 0;
        for (const Kept& kept : kept_) {
            Textbook textbook(made_.system, whole_);
            textbook.solve(open_with(whole_, made_.system.runs[at(kept.run)].valves));
            const double theirs = textbook.head_pressures()[at(head_of(kept.run))] * psi;
            worst = std::max(worst, apart(kept.head_pressure, theirs));
        }
        return worst / psi;
    }

  private:
    Index head_of(Index run) const {
        return made_.system.valves[at(made_.system.runs[at(run)].valves.front())].head;
    }

    Built made_;
    solver::Network network_, whole_;
    std::vector<Kept> kept_;
};

}  // namespace

void measure_golf(Report& report) {
    Golf golf(report.settings().seed);
    golf.all_runs();
    Row ours, textbook;
    ours.part = textbook.part = "golf";
    ours.heads = textbook.heads = golf.stations();
    ours.what = "all runs, rules, 2 threads";
    ours.who = "ours";
    ours.note = "agreement: 20 runs drawn by seed against their own cold solves, heads and all points";
    ours.agreement_psi = golf.own_agreement();
    textbook.what = "20 stations, cold";
    textbook.who = "textbook";
    textbook.note = "the whole graph, one station open; the ratio takes 3,500 / 20 of it";
    textbook.agreement_psi = golf.textbook_agreement();
    report.agreement(ours.agreement_psi);
    report.agreement(textbook.agreement_psi);
    Sitting sitting(report);
    sitting.add(ours, [&] { return golf.all_runs(); });
    sitting.add(textbook, [&] { return golf.textbook(); });
    sitting.run();
    const double cold_solves = report.seconds("golf", textbook.what, "textbook", golf.stations()) / drawn;
    report.ratio("golf_runs_vs_textbook", report.seconds("golf", ours.what, "ours", golf.stations()) /
                                              (cold_solves * golf.stations()));
}

}  // namespace evenhead::bench
