#include <algorithm>
#include <cmath>
#include <memory>
#include <numeric>
#include <optional>

#include "bench/drawing.hpp"
#include "bench/general.hpp"
#include "bench/ours.hpp"
#include "bench/parts.hpp"
#include "bench/sitting.hpp"
#include "bench/systems.hpp"
#include "bench/textbook.hpp"
#include "bench/whole_graph.hpp"

namespace evenhead::bench {
namespace {

constexpr int sizes[] = {240, 2400, 24000, 240000, 1000000};
constexpr int most_by_general = 24000;
constexpr int heads_a_repeat =
    48000;  // small systems are solved several times, to be long enough for a clock

std::vector<Index> all_valves(const model::System& system) {
    std::vector<Index> all(system.valves.size());
    std::iota(all.begin(), all.end(), 0);
    return all;
}

// Largest difference; of heads that both leave dry: none.
double difference(const std::vector<double>& pascals, const std::vector<double>& psis) {
    double worst = 0;
    for (std::size_t i = 0; i < psis.size(); ++i) {
        if (std::isnan(pascals[i]) && std::isnan(psis[i])) continue;
        const double off = std::abs(pascals[i] / psi - psis[i]);
        if (!(off <= worst)) worst = off;
    }
    return worst;
}

// A system and who solves it. Their answers are kept, to be compared outside the clock.
class Bed {
  public:
    Bed(int heads, const Settings& settings, RowOrder order)
        : heads_(heads),
          random_(settings.seed),
          made_(looped_system(heads, settings.seed, order)),
          network_(solver::build_network(made_.system, made_.layout)),
          whole_(whole_graph(made_.system, network_)),
          open_(open_with(whole_, all_valves(made_.system))),
          ours_(made_.system, network_) {}

    Row row(const char* part, const char* what, const char* who) const {
        Row row;
        row.part = part;
        row.what = what;
        row.who = who;
        row.heads = heads_;
        row.count = std::max(1, heads_a_repeat / heads_);
        return row;
    }
    int heads() const { return heads_; }

    Measured cold() {
        const Stopwatch stopwatch;
        ours_.prepare();
        return noted(stopwatch, ours_.solve(), answer_);
    }
    Measured iterations() {
        const Stopwatch stopwatch;
        return noted(stopwatch, ours_.solve(), answer_);
    }
    // From the balance with every valve open, which is found again first.
    Measured warm() {
        ours_.solve();
        shut_ = random_.below(static_cast<int>(made_.system.valves.size()));
        const Stopwatch stopwatch;
        return noted(stopwatch, ours_.solve_without(shut_), warm_answer_);
    }
    Measured textbook_cold() {
        textbook_.reset();
        const Stopwatch stopwatch;
        textbook_.emplace(made_.system, whole_);
        const bool solved = textbook_->solve(open_);
        Measured measured{stopwatch.passed(), textbook_->steps(), not_measured,
                          solved ? nullptr : "not solved"};
        measured.eigen_share = textbook_->eigen_time().processor / measured.time.processor;
        return measured;
    }
    // The same valve as ours; then open again.
    Measured textbook_warm() {
        std::vector<char> open = open_;
        open[at(whole_.first_valve + shut_)] = 0;
        if (!textbook_ || !textbook_->solve(open_)) return {{}, 0, not_measured, "not solved"};
        const Stopwatch stopwatch;
        const bool solved = textbook_->solve_again(open);
        return {stopwatch.passed(), textbook_->steps(), not_measured, solved ? nullptr : "not solved"};
    }
    Measured general() {
        GeneralAnswer answer = solve_by_general(made_.system, whole_, open_);
        general_answer_ = std::move(answer.head_pressure);
        return {answer.time, answer.steps, not_measured, answer.solved ? nullptr : "not solved"};
    }

    double cold_agreement() {
        textbook_cold();
        return difference(answer_, textbook_->head_pressures());
    }
    double warm_agreement() {
        if (warm_answer_.empty()) warm();
        textbook_warm();
        return difference(warm_answer_, textbook_->head_pressures());
    }
    double general_agreement() const { return difference(answer_, general_answer_); }

  private:
    Measured noted(const Stopwatch& stopwatch, const solver::Closure& closure, std::vector<double>& answer) {
        const Measured measured{stopwatch.passed(), closure.steps, not_measured,
                                closure.solved ? nullptr : "not closed"};
        answer = ours_.head_pressures();
        return measured;
    }

    int heads_;
    Random random_;
    Built made_;
    solver::Network network_, whole_;
    std::vector<char> open_;
    Ours ours_;
    Index shut_ = 0;
    std::optional<Textbook> textbook_;
    std::vector<double> answer_, warm_answer_, general_answer_;
};

void add_growth(Sitting& sitting, Bed& bed, const char* part) {
    sitting.add(bed.row(part, "cold", "ours"), [&] { return bed.cold(); });
    sitting.add(bed.row(part, "iterations", "ours"), [&] { return bed.iterations(); });
}

double growth(const Report& report, const char* part, const char* what) {
    const int small = sizes[2], large = sizes[4];
    return report.seconds(part, what, "ours", large) / large /
           (report.seconds(part, what, "ours", small) / small);
}

void measure_size(Report& report, int heads) {
    Bed bed(heads, report.settings(), RowOrder::drawing);
    const bool largest = heads == sizes[4];
    std::optional<Bed> small;  // beside the largest, for how time grows between the two
    Sitting sitting(report);
    const bool by_general = heads <= most_by_general;
    Row cold = bed.row("sizes", "cold", "ours"), textbook = bed.row("sizes", "cold", "textbook"),
        general = bed.row("sizes", "cold", "general"), warm = bed.row("sizes", "warm", "ours");
    warm.note = "one valve shut, from the balance with all open";
    // Once, to compare the answers; it touches the memory as well.
    bed.cold();
    textbook.agreement_psi = bed.cold_agreement();
    warm.agreement_psi = bed.warm_agreement();
    report.agreement(textbook.agreement_psi);
    report.agreement(warm.agreement_psi);
    if (by_general) {
        bed.general();
        general.agreement_psi = bed.general_agreement();
        report.agreement(general.agreement_psi);
    }
    Row iterations = bed.row("sizes", "iterations", "ours"),
        textbook_warm = bed.row("sizes", "warm", "textbook");
    iterations.note = "cold, but prepared";
    sitting.add(cold, [&] { return bed.cold(); });
    sitting.add(textbook, [&] { return bed.textbook_cold(); });
    sitting.add(iterations, [&] { return bed.iterations(); });
    sitting.add(warm, [&] { return bed.warm(); });
    sitting.add(textbook_warm, [&] { return bed.textbook_warm(); });
    if (by_general) sitting.add(general, [&] { return bed.general(); });
    if (largest) {
        small.emplace(sizes[2], report.settings(), RowOrder::drawing);
        add_growth(sitting, bed, "growth");
        add_growth(sitting, *small, "growth");
    }
    sitting.run();
}

}  // namespace

void measure_sizes(Report& report) {
    for (const int heads : sizes) {
        if (heads <= report.settings().most_heads) measure_size(report, heads);
    }
    const auto ours = [&](const char* what, int heads) {
        return report.seconds("sizes", what, "ours", heads);
    };
    const auto others = [&](const char* who, int heads) {
        return report.seconds("sizes", "cold", who, heads);
    };
    report.ratio("cold_vs_textbook_240k", ours("cold", 240000) / others("textbook", 240000));
    report.ratio("cold_vs_general_24k", ours("cold", 24000) / others("general", 24000));
    report.ratio("warm_vs_textbook_cold_24k", ours("warm", 24000) / others("textbook", 24000));
    if (report.settings().most_heads < sizes[4]) return;
    report.ratio("growth_1m_vs_24k", growth(report, "growth", "cold"));
    report.ratio("growth_1m_vs_24k_iterations", growth(report, "growth", "iterations"));
    {
        Bed large(sizes[4], report.settings(), RowOrder::shuffled),
            small(sizes[2], report.settings(), RowOrder::shuffled);
        Sitting sitting(report);
        add_growth(sitting, large, "shuffled");
        add_growth(sitting, small, "shuffled");
        sitting.run();
    }
    report.ratio("growth_1m_vs_24k_shuffled", growth(report, "shuffled", "cold"));
    report.ratio("growth_1m_vs_24k_shuffled_iterations", growth(report, "shuffled", "iterations"));
}

}  // namespace evenhead::bench
