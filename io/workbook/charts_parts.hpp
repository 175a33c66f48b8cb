// The charts that the lines of a workbook are read from, on a sheet of their own, and the formulas that read
// them.
//
// Between two rows (flow x0, loss y0) and (x1, y1) the curve is the cubic with the slopes s0 and s1 there.
// With t = (q - x0) / (x1 - x0) and the slopes times (x1 - x0) it is
//
//     (1-t)^2 ((1+2t) y0 + t s0) + t^2 ((3-2t) y1 - (1-t) s1).
//
// The slopes of a chart are formulas too (solver/laws/monotone_cubic.hpp), so that a row may be changed.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "io/workbook/book_parts.hpp"
#include "io/write/shown_units.hpp"
#include "model/system.hpp"

namespace evenhead::io {

enum class ChartKind {
    loss,    ///< loss over flow
    rise,    ///< a pump's rise over flow
    tests,   ///< a supply's residual pressure over flow
    nozzle,  ///< flow over pressure
};

struct ChartTable {
    ChartKind kind = ChartKind::loss;
    int number = 1;                   ///< "chart 1", and chart_1_flow ... in formulas
    std::vector<double> at, value;    ///< the rows as the case has them, in the units shown
    double at_rest = 0;               ///< tests: static pressure
    double exponent = 0.5;            ///< nozzle of one row
    std::vector<std::string> owners;  ///< "meter M1", as a heading names them

    /// The curve: loss charts begin at flow 0 and never fall, tests begin at flow 0. Cubics have slopes.
    std::vector<double> x, y, slope;
    bool from_zero = false;  ///< its first row is not of the case
    bool cubic = false;

    /// "chart_1_flow"
    std::string name(std::string_view column) const;
};

/// What is read at one flow, for the cells on the way to a result.
struct ChartReading {
    int row = 1;  ///< from 1, the row before
    double share = 0, start = 0, end = 0, slope_start = 0, slope_end = 0;
};

class ChartList {
  public:
    explicit ChartList(const ShownUnits& units) : units_(units) {}

    /// The position of the chart; one of the same rows is the same chart.
    std::size_t loss(const std::string& owner, const std::vector<model::ChartRow>& rows);
    std::size_t rise(const std::string& owner, const std::vector<model::ChartRow>& rows);
    std::size_t tests(const std::string& owner, double at_rest, const std::vector<model::ChartRow>& rows);
    std::size_t nozzle(const std::string& owner, double exponent, const std::vector<model::ChartRow>& rows);

    const ChartTable& operator[](std::size_t chart) const { return tables_[chart]; }
    const std::vector<ChartTable>& tables() const { return tables_; }

  private:
    std::size_t add(ChartTable table, const std::string& owner, const std::vector<model::ChartRow>& rows);
    const ShownUnits& units_;
    std::vector<ChartTable> tables_;
};

/// Where a line of a sheet keeps what it reads from a chart.
struct ReadingCells {
    std::string flow, row, share, start, end, slope_start, slope_end;
};

/// Empty where the chart is read without cells on the way (a square law).
std::optional<ChartReading> read_chart(const ChartTable& chart, double flow);
/// The formulas of those cells, in the order of ReadingCells from `row` on; tests have no slopes.
std::vector<std::string> reading_formulas(const ChartTable& chart, const ReadingCells& cells);
/// The change of pressure at the flow in `cells`: minus the loss, or the rise.
std::string change_formula(const ChartTable& chart, const ReadingCells& cells);
/// The flow of a nozzle at the pressure in a cell; `flow`: the cell of the flow that the network brings.
std::string nozzle_formula(const ChartTable& chart, const std::string& pressure, const std::string& flow);

void write_charts(Book& book, Sheet& sheet, const ChartList& charts, const ShownUnits& units, bool letter);

}  // namespace evenhead::io
