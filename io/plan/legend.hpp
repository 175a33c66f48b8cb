// The legend: what each mark of this drawing means, and nothing that it does not have.
#pragma once

#include <string>
#include <vector>

#include "io/plan/plan.hpp"
#include "io/plan/symbols.hpp"

namespace evenhead::io {

class Legend {
  public:
    /// `run`: as in PlanOptions; `to_scale`: throws are drawn.
    Legend(const PlanSubject& subject, const RunMarks& marks, bool to_scale);

    /// Its height in px when it is `width` px wide.
    double height(double width) const;
    /// In rows from (left, top) on.
    void write(Output& output, double left, double top, double width) const;

  private:
    struct Entry {
        std::string mark;  ///< around (0, 0), at most 30 px wide
        std::string words;
    };
    /// Entries stand in columns, each as wide as its own words need.
    struct Grid {
        std::size_t rows = 0;
        double letter = 0;           ///< px
        std::vector<double> starts;  ///< px, where each column begins
    };
    Grid grid(double width) const;
    void add(std::string mark, std::string words) { entries_.push_back({std::move(mark), std::move(words)}); }
    void add_pipes(const PlanSubject& subject, const RunMarks& marks);
    void add_heads(const PlanSubject& subject, const RunMarks& marks);

    std::vector<Entry> entries_;
};

}  // namespace evenhead::io
