// Rows measured in one sitting: the first of each, the second of each, and so on, so that what else the
// machine does falls on all of them alike.
#pragma once

#include <functional>
#include <vector>

#include "bench/report.hpp"

namespace evenhead::bench {

/// What one solve took and what came of it; the time is that of the part that counts.
struct Measured {
    Seconds time;
    int steps = 0;
    double eigen_share = not_measured;
    const char* error = nullptr;
};

class Sitting {
  public:
    explicit Sitting(Report& report) : report_(report) {}

    /// `count`: solves whose mean is one time of the row; short ones take many.
    void add(Row row, std::function<Measured()> measure);
    /// Measures all rows once untimed, so that memory is touched and caches are as they will be, then
    /// settings().repeats times; hands the rows to the report.
    void run();

  private:
    struct Entry {
        Row row;
        std::function<Measured()> measure;
    };
    Report& report_;
    std::vector<Entry> entries_;
};

}  // namespace evenhead::bench
