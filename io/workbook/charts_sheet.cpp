// The sheet of the charts: each a small table that the formulas of the other sheets read by name.
#include <fmt/format.h>

#include <cmath>

#include "io/workbook/charts_parts.hpp"
#include "io/write/finding_list.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

constexpr int columns = 5;

class ChartsWriter {
  public:
    ChartsWriter(Book& book, Sheet& sheet, const ShownUnits& units)
        : book_(book),
          sheet_(sheet),
          flow_unit_(units.word(Dimension::flow)),
          pressure_unit_(units.word(Dimension::pressure)),
          flow_(units.number(0, Dimension::flow, 1)),
          pressure_(units.number(0, Dimension::pressure, 1)) {}

    int write(const ChartTable& chart, int row) {
        sheet_.text(row, 0, fmt::format("Chart {}: {}", chart.number, heading(chart)), Look::section);
        sheet_.blank(row, 1, columns - 1, Look::section);
        sheet_.paragraph(row + 1, 0, columns - 1, how(chart), Look::small);
        first_ = row + 3;
        last_ = first_ + static_cast<int>(chart.x.size()) - 1;
        headings(chart, row + 2);
        for (int i = 0; first_ + i <= last_; ++i) line(chart, i);
        sheet_.height(row + 2, 28);
        return last_ + 2;
    }

  private:
    static std::string heading(const ChartTable& chart) {
        const std::string names = id_list(chart.owners, 6);
        switch (chart.kind) {
            case ChartKind::loss:
                return "loss of " + names;
            case ChartKind::rise:
                return "rise of " + names;
            case ChartKind::tests:
                return "flow tests of " + names;
            case ChartKind::nozzle:
                break;
        }
        return "flow of " + names;
    }

    static std::string how(const ChartTable& chart) {
        switch (chart.kind) {
            case ChartKind::loss:
                return chart.cubic ? "Read by a cubic that never falls, with the slopes of the last column; "
                                     "beyond the last row by the square of the flow."
                                   : "Read by the square of the flow.";
            case ChartKind::rise:
                return chart.cubic ? "Read by a cubic that never rises, with the slopes of the last column; "
                                     "beyond the rows straight on."
                                   : "The same at any flow.";
            case ChartKind::tests:
                return "The drop below static runs straight in flow^1.852 between the rows, and on beyond "
                       "the last. The static pressure of the day stands on the sheet of each run.";
            case ChartKind::nozzle:
                break;
        }
        return chart.x.size() > 1 ? "Straight in the logarithms between two rows; by the square root of the "
                                    "pressure outside them."
                                  : "flow x (pressure / pressure of the row)^exponent.";
    }

    void headings(const ChartTable& chart, int row) {
        const std::string flow = "Flow\n" + flow_unit_,
                          over = fmt::format("{} per {}", pressure_unit_, flow_unit_);
        std::vector<std::string> words;
        switch (chart.kind) {
            case ChartKind::loss:
                words = {flow, "Loss\n" + pressure_unit_, "Loss counted\n" + pressure_unit_};
                if (chart.cubic) words.insert(words.end(), {"To the next\n" + over, "Slope here\n" + over});
                break;
            case ChartKind::rise:
                words = {flow, "Rise\n" + pressure_unit_};
                if (chart.cubic) words.insert(words.end(), {"To the next\n" + over, "Slope here\n" + over});
                break;
            case ChartKind::tests:
                words = {flow, "Pressure\n" + pressure_unit_, "Drop\n" + pressure_unit_, "Flow^1.852"};
                break;
            case ChartKind::nozzle:
                words = {"Pressure\n" + pressure_unit_, flow, "Exponent"};
                break;
        }
        for (int column = 0; column < static_cast<int>(words.size()); ++column)
            sheet_.text(row, column, words[static_cast<std::size_t>(column)], Look::heading);
        const auto name = [&](std::string_view word, int column) {
            book_.define(chart.name(word), sheet_.name(),
                         cell_name(first_, column, true) + ":" + cell_name(last_, column, true));
        };
        switch (chart.kind) {
            case ChartKind::loss:
                name("flow", 0);
                name("loss", 2);
                if (chart.cubic) name("slope", 4);
                break;
            case ChartKind::rise:
                name("flow", 0);
                name("rise", 1);
                if (!chart.cubic) break;
                name("secant", 2);
                name("slope", 3);
                break;
            case ChartKind::tests:
                name("flow", 0);
                name("drop", 2);
                name("power", 3);
                break;
            case ChartKind::nozzle:
                name("pressure", 0);
                name("flow", 1);
                name("exponent", 2);
                break;
        }
    }

    std::string cell(int i, int column) const { return cell_name(first_ + i, column); }

    void line(const ChartTable& chart, int i) {
        const int row = first_ + i;
        const auto at = static_cast<std::size_t>(i);
        const bool made = chart.from_zero && i == 0;
        const bool nozzle = chart.kind == ChartKind::nozzle;
        const double given = made              ? (chart.kind == ChartKind::tests ? chart.at_rest : 0)
                             : chart.from_zero ? chart.value[at - 1]
                                               : chart.value[at];
        sheet_.number(row, 0, chart.x[at], made ? Look::result : Look::input, nozzle ? pressure_ : flow_);
        sheet_.number(row, 1, given, made && chart.kind == ChartKind::loss ? Look::result : Look::input,
                      nozzle ? flow_ : pressure_);
        switch (chart.kind) {
            case ChartKind::loss:
                sheet_.formula(row, 2,
                               i == 0 ? cell(i, 1) : fmt::format("MAX({},{})", cell(i, 1), cell(i - 1, 2)),
                               chart.y[at], Look::result, pressure_);
                if (chart.cubic) slopes(chart, i, 2);
                break;
            case ChartKind::rise:
                if (chart.cubic) slopes(chart, i, 1);
                break;
            case ChartKind::tests:
                sheet_.formula(row, 2, fmt::format("{}-{}", cell_name(first_, 1, true), cell(i, 1)),
                               chart.y[at], Look::result, pressure_);
                sheet_.formula(row, 3, fmt::format("{}^1.852", cell(i, 0)), std::pow(chart.x[at], 1.852),
                               Look::working, "0.000");
                break;
            case ChartKind::nozzle:
                exponent(chart, i);
                break;
        }
    }

    void exponent(const ChartTable& chart, int i) {
        const int row = first_ + i;
        if (row == last_) {
            sheet_.number(row, 2, i == 0 ? chart.exponent : 0.5, i == 0 ? Look::input : Look::result,
                          "0.0000");
            return;
        }
        const auto at = static_cast<std::size_t>(i);
        sheet_.formula(
            row, 2,
            fmt::format("LN({}/{})/LN({}/{})", cell(i + 1, 1), cell(i, 1), cell(i + 1, 0), cell(i, 0)),
            std::log(chart.y[at + 1] / chart.y[at]) / std::log(chart.x[at + 1] / chart.x[at]), Look::result,
            "0.0000");
    }

    /// The secant to the next row and the slope in this one, in the two columns after `value`.
    void slopes(const ChartTable& chart, int i, int value) {
        const auto at = static_cast<std::size_t>(i);
        const int row = first_ + i, secant = value + 1, count = last_ - first_ + 1;
        const auto step = [&](int from) { return fmt::format("({}-{})", cell(from + 1, 0), cell(from, 0)); };
        if (row < last_)
            sheet_.formula(
                row, secant, fmt::format("({}-{})/{}", cell(i + 1, value), cell(i, value), step(i)),
                (chart.y[at + 1] - chart.y[at]) / (chart.x[at + 1] - chart.x[at]), Look::working, "0.0000");
        const bool rise = chart.kind == ChartKind::rise;
        std::string formula;
        if (count == 2) {
            formula = cell(0, secant);
        } else if (i == 0 || row == last_) {
            const int near = i == 0 ? 0 : i - 1, far = i == 0 ? 1 : i - 2;
            formula = fmt::format("{0}(0,((2*{1}+{2})*{3}-{1}*{4})/({1}+{2}))", rise ? "MIN" : "MAX",
                                  step(near), step(far), cell(near, secant), cell(far, secant));
        } else {
            const std::string before = step(i - 1), after = step(i);
            formula = fmt::format("IF(OR({2}{4}0,{3}{4}0),0,3*({0}+{1})/((2*{1}+{0})/{2}+({1}+2*{0})/{3}))",
                                  before, after, cell(i - 1, secant), cell(i, secant), rise ? ">=" : "<=");
        }
        sheet_.formula(row, value + 2, formula, chart.slope[at], Look::working, "0.0000");
    }

    Book& book_;
    Sheet& sheet_;
    std::string flow_unit_, pressure_unit_, flow_, pressure_;
    int first_ = 0, last_ = 0;
};

}  // namespace

void write_charts(Book& book, Sheet& sheet, const ChartList& charts, const ShownUnits& units, bool letter) {
    sheet.width(0, columns - 1, 17);
    sheet.text(0, 0, "Charts", Look::title);
    sheet.height(0, 22);
    sheet.paragraph(
        1, 0, columns - 1,
        "The rows are those of the case; a row at no flow is added where it has none. Changed here, "
        "they change every sheet that reads them.",
        Look::small);
    ChartsWriter writer(book, sheet, units);
    int row = 3;
    for (const ChartTable& chart : charts.tables()) row = writer.write(chart, row);
    PrintSetup setup;
    setup.letter = letter;
    setup.last_row = row;
    setup.last_column = columns - 1;
    sheet.print(setup);
}

}  // namespace evenhead::io
