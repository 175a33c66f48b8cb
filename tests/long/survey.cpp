#include "tests/long/survey.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <mutex>
#include <numeric>
#include <thread>

#include "solver/balance/balance.hpp"
#include "tests/agreement/bare.hpp"

namespace evenhead::tests {
namespace {

constexpr double psi = 6894.757293168361;
constexpr double closure_pressure = 1e-6 * psi;

bool feeds_a_head(const agreement::Bare& bare) {
    return std::any_of(bare.elements.begin(), bare.elements.end(), [&](const agreement::Element& e) {
        return e.kind == agreement::Kind::head && bare.active(e);
    });
}

bool names_regulators(const solver::Failure& failure, const model::System& system) {
    const auto regulates = [&](const solver::ElementRef& ref) {
        const auto i = static_cast<std::size_t>(ref.index);
        return (ref.kind == solver::ElementKind::device && system.devices[i].set) ||
               (ref.kind == solver::ElementKind::valve && system.valves[i].set);
    };
    return !failure.text.empty() && !failure.elements.empty() &&
           std::all_of(failure.elements.begin(), failure.elements.end(), regulates);
}

// Which one-way devices stand shut against a pressure of 1 psi or more.
void note_held_back(const model::System& system, const solver::RunResult& result, bool& any, bool& sprung) {
    for (std::size_t d = 0; d < system.devices.size(); ++d) {
        const model::Device& device = system.devices[d];
        const bool shut = device.one_way && !device.closed && result.device_flow[d] == 0 &&
                          result.device_outlet[d] >= result.device_inlet[d] + psi;
        any = any || shut;
        sprung = sprung || (shut && !device.loss.chart.empty() && device.loss.chart[0].at.value == 0);
    }
}

std::string wrong_reason(const Generated& made, const solver::Failure& failure, const agreement::Bare& bare) {
    if (failure.kind == "several-states" || failure.kind == "contradiction") {
        if (!made.extremes.has(Extreme::shared_regulators))
            return failure.kind + ", but no regulators feed each other";
        if (!names_regulators(failure, made.system)) return failure.kind + " without the regulators' names";
        return "";
    }
    if (failure.kind == "no-supply" && !feeds_a_head(bare)) return "";
    return "not solved: " + failure.kind + ". " + failure.text;
}

}  // namespace

std::string judge(const Generated& made, const solver::RunResult& result) {
    const agreement::Bare bare = agreement::make_bare(made.system, result.open);
    if (result.failure) {
        if (result.closure.solved && result.failure->kind != "no-supply") return "closed, and yet a failure";
        return wrong_reason(made, *result.failure, bare);
    }
    if (!result.closure.solved) return "neither closed nor a reason given";
    return agreement::broken_law(bare, agreement::answer_of(bare, made.system, result), closure_pressure);
}

int Survey::count() const {
    return std::accumulate(solves.begin(), solves.end(), 0);
}

Survey survey(std::uint64_t first, int count, const GeneratorOptions& options, int threads) {
    Survey out;
    std::mutex writing;
    std::atomic<int> next{0};
    const auto work = [&] {
        for (int i = next++; i < count; i = next++) {
            const std::uint64_t seed = first + static_cast<std::uint64_t>(i);
            const Generated made = generate(seed, options);
            solver::RunResult result;
            std::string wrong;
            if (made.layout.errors.empty()) {
                const solver::Network network = solver::build_network(made.system, made.layout);
                result = solver::balance_run(made.system, network, 0, made.system.runs[0].valves);
                wrong = judge(made, result);
            } else {
                wrong = "refused: " + made.layout.errors[0].text;
            }
            bool held = false, sprung = false;
            if (result.closure.solved) note_held_back(made.system, result, held, sprung);
            const int solves = result.closure.steps;
            const std::lock_guard lock(writing);
            if (out.solves.size() <= static_cast<std::size_t>(solves))
                out.solves.resize(static_cast<std::size_t>(solves) + 1);
            ++out.solves[static_cast<std::size_t>(solves)];
            if (solves > few_solves) out.slow.push_back({seed, solves, ""});
            if (!wrong.empty()) out.wrong.push_back({seed, solves, wrong});
            if (wrong.empty() && result.failure)
                out.with_reason.push_back({seed, solves, result.failure->kind});
            out.still += result.closure.solved && result.flow == 0;
            out.held_back += held;
            out.sprung_held_back += sprung;
        }
    };
    std::vector<std::thread> workers;
    for (int i = 1; i < threads; ++i) workers.emplace_back(work);
    work();
    for (std::thread& worker : workers) worker.join();
    for (auto* seeds : {&out.slow, &out.wrong, &out.with_reason})
        std::sort(seeds->begin(), seeds->end(),
                  [](const Survey::Seed& a, const Survey::Seed& b) { return a.seed < b.seed; });
    return out;
}

std::string missed_bars(const Survey& survey) {
    std::string text;
    for (const Survey::Seed& seed : survey.wrong)
        text += "seed " + std::to_string(seed.seed) + " (" + std::to_string(seed.solves) +
                " solves): " + seed.text.substr(0, 400) + "\n";
    if (survey.most() > most_solves)
        text += std::to_string(survey.most()) + " linear solves; at most " + std::to_string(most_solves) +
                " are allowed\n";
    const double allowed = share_above_few * survey.count();
    if (static_cast<double>(survey.slow.size()) > allowed)
        text += std::to_string(survey.slow.size()) + " of " + std::to_string(survey.count()) +
                " systems took more than " + std::to_string(few_solves) + " linear solves; 0.1 % may\n";
    return text;
}

}  // namespace evenhead::tests
