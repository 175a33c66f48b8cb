#include "bench/report.hpp"

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <stdexcept>

namespace evenhead::bench {
namespace {

// The bars of the project: a ratio is held against its own.
struct Bar {
    const char* ratio;
    double value;
    bool at_least;
};
constexpr Bar bars[] = {{"cold_vs_textbook_240k", 0.15, false},
                        {"cold_vs_general_24k", 0.02, false},
                        {"growth_1m_vs_24k_iterations", 1.5, false},
                        {"growth_1m_vs_24k", 2.5, false},
                        {"growth_1m_vs_24k_shuffled", not_measured, false},
                        {"growth_1m_vs_24k_shuffled_iterations", not_measured, false},
                        {"warm_vs_textbook_cold_24k", 0.02, false},
                        {"golf_runs_vs_textbook", 0.01, false},
                        {"two_threads_city", 1.7, true},
                        {"reading_1m_vs_bare", 4, false},
                        {"limit_share_240k", not_measured, false},
                        {"agreement_psi", 1e-6, false}};

std::string cpu() {
    std::ifstream info("/proc/cpuinfo");
    std::string line;
    while (std::getline(info, line)) {
        if (line.rfind("model name", 0) == 0) return line.substr(line.find(':') + 2);
    }
    return "unknown";
}

nlohmann::json number(double value) {
    return std::isnan(value) ? nlohmann::json() : nlohmann::json(value);
}

std::string time_text(double seconds) {
    if (seconds < 1e-3) return fmt::format("{:.1f} us", seconds * 1e6);
    if (seconds < 1) return fmt::format("{:.2f} ms", seconds * 1e3);
    return fmt::format("{:.2f} s", seconds);
}

}  // namespace

std::string Row::name() const {
    return fmt::format("{}/{}/{}/{}", part, what, who, heads);
}

bool Settings::runs_part(const std::string& part) const {
    return parts.empty() || std::find(parts.begin(), parts.end(), part) != parts.end();
}

void Report::agreement(double psi) {
    if (std::isnan(worst_agreement_) || !(psi <= worst_agreement_)) worst_agreement_ = psi;
    ratio("agreement_psi", worst_agreement_);
}

double Report::median(const Row& row) const {
    if (row.times.empty()) return not_measured;
    std::vector<double> seconds;
    for (const Seconds& time : row.times)
        seconds.push_back(settings_.clock == ClockKind::wall ? time.wall : time.processor);
    std::sort(seconds.begin(), seconds.end());
    const std::size_t middle = seconds.size() / 2;
    return seconds.size() % 2 == 1 ? seconds[middle] : (seconds[middle - 1] + seconds[middle]) / 2;
}

const Row* Report::find(const std::string& part, const std::string& what, const std::string& who,
                        int heads) const {
    for (const Row& row : rows_) {
        if (row.part == part && row.what == what && row.who == who && row.heads == heads) return &row;
    }
    return nullptr;
}

double Report::seconds(const std::string& part, const std::string& what, const std::string& who,
                       int heads) const {
    const Row* row = find(part, what, who, heads);
    return row == nullptr || !row->error.empty() ? not_measured : median(*row);
}

void Report::print_table() const {
    fmt::print("{:<8} {:<28} {:<9} {:>8} {:>10} {:>9} {:>6} {:>7} {:>11}\n", "part", "what", "who", "heads",
               "median", "us/head", "steps", "in Eigen", "differs psi");
    for (const Row& row : rows_) {
        const double seconds = median(row);
        fmt::print("{:<8} {:<28} {:<9} {:>8} {:>10} {:>9.4f} {:>6} {:>8} {:>11}{}\n", row.part, row.what,
                   row.who, row.heads, time_text(seconds), seconds / row.heads * 1e6,
                   row.steps > 0 ? fmt::format("{}", row.steps) : "-",
                   std::isnan(row.eigen_share) ? "-" : fmt::format("{:.0f} %", row.eigen_share * 100),
                   std::isnan(row.agreement_psi) ? "-" : fmt::format("{:.1e}", row.agreement_psi),
                   row.error.empty() ? "" : "  void: " + row.error);
    }
    fmt::print("\n{:<38} {:>10} {:>14}\n", "ratio", "value", "bar");
    for (const Bar& bar : bars) {
        const auto found = ratios_.find(bar.ratio);
        const double value = found == ratios_.end() ? not_measured : found->second;
        const bool met = bar.at_least ? value >= bar.value : value <= bar.value;
        fmt::print(
            "{:<38} {:>10} {:>14} {}\n", bar.ratio, std::isnan(value) ? "-" : fmt::format("{:.3g}", value),
            std::isnan(bar.value) ? "-" : fmt::format("{} {:g}", bar.at_least ? ">=" : "<=", bar.value),
            std::isnan(value) || std::isnan(bar.value) ? ""
            : met                                      ? "met"
                                                       : "not met");
    }
}

void Report::write_json() const {
    nlohmann::ordered_json out;
    out["cpu"] = cpu();
    out["cores"] = benchmark::CPUInfo::Get().num_cpus;
    out["flags"] = EVENHEAD_BENCH_FLAGS;
    out["compiler"] = __VERSION__;
    out["commit"] = settings_.commit;
    out["seed"] = settings_.seed;
    out["repeats"] = settings_.repeats;
    out["clock"] = settings_.clock == ClockKind::wall ? "wall" : "processor";
    for (const Row& row : rows_) {
        nlohmann::ordered_json one;
        one["part"] = row.part;
        one["what"] = row.what;
        one["who"] = row.who;
        one["heads"] = row.heads;
        const double seconds = median(row);
        one["seconds"] = number(seconds);
        one["microseconds_a_head"] = number(seconds / row.heads * 1e6);
        if (row.steps > 0) one["steps"] = row.steps;
        if (!std::isnan(row.eigen_share)) one["eigen_share"] = row.eigen_share;
        if (!std::isnan(row.agreement_psi)) one["agreement_psi"] = row.agreement_psi;
        if (!row.note.empty()) one["note"] = row.note;
        one["void"] = !row.error.empty();
        if (!row.error.empty()) one["why_void"] = row.error;
        one["solves_a_repeat"] = row.count;
        for (const Seconds& time : row.times) {
            one["wall_seconds"].push_back(time.wall);
            one["processor_seconds"].push_back(time.processor);
        }
        out["rows"].push_back(one);
    }
    out["ratios"] = nlohmann::ordered_json::object();
    for (const Bar& bar : bars) {
        const auto found = ratios_.find(bar.ratio);
        out["ratios"][bar.ratio] = found == ratios_.end() ? nullptr : number(found->second);
    }
    const std::filesystem::path path(settings_.json);
    if (path.has_parent_path()) std::filesystem::create_directories(path.parent_path());
    std::ofstream file(path);
    file << out.dump(2) << "\n";
    if (!file) throw std::runtime_error(settings_.json + " cannot be written");
}

}  // namespace evenhead::bench
