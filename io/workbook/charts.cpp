#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/workbook/charts_parts.hpp"
#include "solver/laws/monotone_cubic.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

constexpr double tests_exponent = 1.852;  // 1/0.54, of the flow-test practice

/// The curve that the rows stand for, and its slopes.
void find_curve(ChartTable& chart) {
    chart.x = chart.at;
    chart.y = chart.value;
    if (chart.kind == ChartKind::nozzle) return;
    if (chart.kind == ChartKind::tests)
        for (double& drop : chart.y) drop = chart.at_rest - drop;
    if (chart.kind == ChartKind::loss)
        for (std::size_t i = 1; i < chart.y.size(); ++i) chart.y[i] = std::max(chart.y[i], chart.y[i - 1]);
    if (chart.kind != ChartKind::rise && chart.x.front() > 0) {
        chart.x.insert(chart.x.begin(), 0.0);
        chart.y.insert(chart.y.begin(), 0.0);
        chart.from_zero = true;
    }
    if (chart.kind == ChartKind::tests) return;
    chart.cubic = chart.x.size() > 2 || (chart.kind == ChartKind::rise && chart.x.size() > 1);
    if (!chart.cubic) return;
    // The cubic of the solver never falls; a rise never rises.
    const double sign = chart.kind == ChartKind::rise ? -1 : 1;
    std::vector<double> y = chart.y;
    for (double& value : y) value *= sign;
    const solver::MonotoneCubic cubic(chart.x, y);
    for (const double x : chart.x) chart.slope.push_back(sign * cubic.slope(x));
}

/// "INDEX(chart_1_loss,3)"
std::string pick(const ChartTable& chart, std::string_view column, const std::string& row) {
    return fmt::format("INDEX({},{})", chart.name(column), row);
}
std::string pick(const ChartTable& chart, std::string_view column, std::size_t row) {
    return pick(chart, column, std::to_string(row));
}

std::string_view value_column(const ChartTable& chart) {
    return chart.kind == ChartKind::rise ? "rise" : chart.kind == ChartKind::tests ? "drop" : "loss";
}

std::string cubic_formula(const ReadingCells& cells) {
    return fmt::format("(1-{0})^2*((1+2*{0})*{1}+{0}*{3})+{0}^2*((3-2*{0})*{2}-(1-{0})*{4})", cells.share,
                       cells.start, cells.end, cells.slope_start, cells.slope_end);
}

}  // namespace

std::string ChartTable::name(std::string_view column) const {
    return fmt::format("chart_{}_{}", number, column);
}

std::size_t ChartList::add(ChartTable table, const std::string& owner,
                           const std::vector<model::ChartRow>& rows) {
    const bool nozzle = table.kind == ChartKind::nozzle;
    for (const model::ChartRow& row : rows) {
        table.at.push_back(units_.in_unit(row.at.value, nozzle ? Dimension::pressure : Dimension::flow));
        table.value.push_back(
            units_.in_unit(row.value.value, nozzle ? Dimension::flow : Dimension::pressure));
    }
    for (std::size_t i = 0; i < tables_.size(); ++i) {
        ChartTable& old = tables_[i];
        if (old.kind != table.kind || old.at != table.at || old.value != table.value ||
            old.at_rest != table.at_rest || old.exponent != table.exponent)
            continue;
        if (std::find(old.owners.begin(), old.owners.end(), owner) == old.owners.end())
            old.owners.push_back(owner);
        return i;
    }
    find_curve(table);
    table.number = static_cast<int>(tables_.size()) + 1;
    table.owners = {owner};
    tables_.push_back(std::move(table));
    return tables_.size() - 1;
}

std::size_t ChartList::loss(const std::string& owner, const std::vector<model::ChartRow>& rows) {
    return add({}, owner, rows);
}

std::size_t ChartList::rise(const std::string& owner, const std::vector<model::ChartRow>& rows) {
    ChartTable table;
    table.kind = ChartKind::rise;
    return add(std::move(table), owner, rows);
}

std::size_t ChartList::tests(const std::string& owner, double at_rest,
                             const std::vector<model::ChartRow>& rows) {
    ChartTable table;
    table.kind = ChartKind::tests;
    table.at_rest = units_.in_unit(at_rest, Dimension::pressure);
    return add(std::move(table), owner, rows);
}

std::size_t ChartList::nozzle(const std::string& owner, double exponent,
                              const std::vector<model::ChartRow>& rows) {
    ChartTable table;
    table.kind = ChartKind::nozzle;
    table.exponent = exponent;
    return add(std::move(table), owner, rows);
}

std::optional<ChartReading> read_chart(const ChartTable& chart, double flow) {
    if (!chart.cubic && chart.kind != ChartKind::tests) return std::nullopt;
    const double q = chart.kind == ChartKind::tests ? std::abs(flow) : flow;
    const std::size_t last = chart.x.size() - 1;
    std::size_t i = 0;
    while (i + 1 < last && q >= chart.x[i + 1]) ++i;
    ChartReading reading;
    reading.row = static_cast<int>(i) + 1;
    reading.start = chart.y[i];
    reading.end = chart.y[i + 1];
    const auto power = [](double x) { return std::pow(x, tests_exponent); };
    if (chart.kind == ChartKind::tests) {
        reading.share = (power(q) - power(chart.x[i])) / (power(chart.x[i + 1]) - power(chart.x[i]));
        return reading;
    }
    const double step = chart.x[i + 1] - chart.x[i];
    reading.share = (q - chart.x[i]) / step;
    reading.slope_start = chart.slope[i] * step;
    reading.slope_end = chart.slope[i + 1] * step;
    return reading;
}

std::vector<std::string> reading_formulas(const ChartTable& chart, const ReadingCells& cells) {
    const bool tests = chart.kind == ChartKind::tests;
    const std::string flow = tests ? fmt::format("ABS({})", cells.flow) : cells.flow;
    std::string row = fmt::format("MIN(MATCH({},{},1),{})", flow, chart.name("flow"), chart.x.size() - 1);
    if (chart.kind == ChartKind::rise) row = fmt::format("IF({}<{},1,{})", flow, pick(chart, "flow", 1), row);
    const std::string next = cells.row + "+1";
    const auto share = [&](const std::string& at, std::string_view column) {
        const std::string from = pick(chart, column, cells.row);
        return fmt::format("({}-{})/({}-{})", at, from, pick(chart, column, next), from);
    };
    const std::string_view value = value_column(chart);
    const std::string start = pick(chart, value, cells.row), end = pick(chart, value, next);
    if (tests) return {row, share(fmt::format("{}^1.852", flow), "power"), start, end};
    const auto slope = [&](const std::string& at) {
        return fmt::format("{}*({}-{})", pick(chart, "slope", at), pick(chart, "flow", next),
                           pick(chart, "flow", cells.row));
    };
    return {row, share(flow, "flow"), start, end, slope(cells.row), slope(next)};
}

std::string change_formula(const ChartTable& chart, const ReadingCells& cells) {
    const std::size_t last = chart.x.size();
    const std::string& flow = cells.flow;
    const std::string_view value = value_column(chart);
    if (chart.kind == ChartKind::tests)
        return fmt::format("-SIGN({})*({}+{}*({}-{}))", flow, cells.start, cells.share, cells.end,
                           cells.start);
    if (chart.kind == ChartKind::rise) {
        if (last == 1) return pick(chart, value, 1);
        const auto beyond = [&](std::size_t row, std::size_t secant) {
            return fmt::format("{}+{}*({}-{})", pick(chart, value, row), pick(chart, "secant", secant), flow,
                               pick(chart, "flow", row));
        };
        return fmt::format("IF({0}<{1},{2},IF({0}>{3},{4},{5}))", flow, pick(chart, "flow", 1), beyond(1, 1),
                           pick(chart, "flow", last), beyond(last, last - 1), cubic_formula(cells));
    }
    const std::string first_loss = pick(chart, value, 1);
    if (last == 1) return "-" + first_loss;
    const std::string square = fmt::format("{0}+({1}-{0})*({2}/{3})^2", first_loss, pick(chart, value, last),
                                           flow, pick(chart, "flow", last));
    if (!chart.cubic) return fmt::format("-({})", square);
    return fmt::format("-IF({}>={},{},{})", flow, pick(chart, "flow", last), square, cubic_formula(cells));
}

std::string nozzle_formula(const ChartTable& chart, const std::string& pressure, const std::string& flow) {
    const auto power = [&](const std::string& row, const std::string& exponent) {
        return fmt::format("{}*({}/{})^{}", pick(chart, "flow", row), pressure, pick(chart, "pressure", row),
                           exponent);
    };
    if (chart.x.size() == 1 && chart.exponent == 0) {
        // A constant draw takes what the network brings as long as its pressure is nothing.
        const std::string full = pick(chart, "flow", 1);
        return fmt::format("IF({0}>0.000001,{1},IF({0}<-0.000001,0,MIN({2},{1})))", pressure, full, flow);
    }
    if (chart.x.size() == 1)
        return fmt::format("IF({}<=0,0,{})", pressure, power("1", pick(chart, "exponent", 1)));
    const std::string row = fmt::format("MATCH({},{},1)", pressure, chart.name("pressure"));
    return fmt::format("IF({0}<=0,0,IF({0}<{1},{2},{3}))", pressure, pick(chart, "pressure", 1),
                       power("1", "0.5"), power(row, pick(chart, "exponent", row)));
}

}  // namespace evenhead::io
