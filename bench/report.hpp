// What the benchmarks found: rows of times, ratios between them, as a table and as JSON.
#pragma once

#include <cstdint>
#include <limits>
#include <map>
#include <string>
#include <vector>

#include "bench/clock.hpp"

namespace evenhead::bench {

inline constexpr double not_measured = std::numeric_limits<double>::quiet_NaN();

struct Row {
    std::string part;                   ///< sizes, growth, golf, city, reading, limit
    std::string what;                   ///< cold, iterations, warm ...
    std::string who;                    ///< ours, textbook, general ...
    int heads = 0;                      ///< of the system
    std::string note;                   ///< what makes it special
    int count = 1;                      ///< solves that a time is shared among (mean of so many)
    int steps = 0;                      ///< linear solves; 0: does not apply
    double eigen_share = not_measured;  ///< of the textbook's time: inside Eigen's solver
    double agreement_psi =
        not_measured;  ///< largest difference of head pressures from the row that it is held against
    std::vector<Seconds> times;  ///< by repeat
    std::string error;           ///< why the row is void

    std::string name() const;
};

/// Which clock the figures are taken from.
enum class ClockKind { wall, processor };

struct Settings {
    std::uint64_t seed = 1;
    int repeats = 5;
    int most_heads = 1000000;
    ClockKind clock = ClockKind::wall;
    std::string commit, json, case_folder;
    std::vector<std::string> parts;  ///< empty: all
    bool runs_part(const std::string& part) const;
};

class Report {
  public:
    explicit Report(const Settings& settings) : settings_(settings) {}

    const Settings& settings() const { return settings_; }
    void add(const Row& row) { rows_.push_back(row); }
    void ratio(const std::string& name, double value) { ratios_[name] = value; }
    /// Notes an agreement (psi): the ratio agreement_psi is the worst of all.
    void agreement(double psi);

    /// Median of a row's times, s; NaN where there is no such row or it is void.
    double seconds(const std::string& part, const std::string& what, const std::string& who, int heads) const;
    double median(const Row& row) const;
    const Row* find(const std::string& part, const std::string& what, const std::string& who,
                    int heads) const;

    void print_table() const;
    void write_json() const;  ///< to settings().json; throws std::runtime_error where it cannot be written

  private:
    const Settings& settings_;
    std::vector<Row> rows_;
    std::map<std::string, double> ratios_;
    double worst_agreement_ = not_measured;
};

}  // namespace evenhead::bench
