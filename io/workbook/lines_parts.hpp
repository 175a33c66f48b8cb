// What the lines of a worksheet are computed from: the law of each, and the numbers that go into it.
#pragma once

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "io/workbook/charts_parts.hpp"
#include "io/write/sentences.hpp"
#include "model/system.hpp"
#include "solver/worksheet/worksheet.hpp"

namespace evenhead::io {

enum class LineLaw {
    given,  ///< static pressure
    holds,  ///< a supply without tests
    chart,  ///< loss, rise or flow tests
    hazen_williams,
    darcy_weisbach,
    fittings,
    elevation,
    lossless,
    cv,
    kv,
    k,
    regulation,
    balance,  ///< no law gives it: the number of the balance
};

/// The inputs of one line; NaN where it has none. SI.
struct LineInputs {
    static constexpr double absent = std::numeric_limits<double>::quiet_NaN();
    LineLaw law = LineLaw::balance;
    std::optional<std::size_t> chart;
    double bore = absent, length = absent, velocity = absent;
    double friction = absent;     ///< Hazen-Williams C, or roughness (m)
    double k = absent;            ///< minor loss coefficient
    double share = absent;        ///< more length for fittings
    double coefficient = absent;  ///< cv or kv
    double pressure = absent;     ///< static, or held at the outlet
    double elevation = absent;
};

/// Registers the charts that the line needs.
LineInputs line_inputs(const Speaker& speaker, const solver::WorksheetLine& line, ChartList& charts);

/// How the line is computed, in a few words: "Hazen-Williams", "chart 2".
std::string law_words(const LineInputs& inputs, const ChartList& charts);

}  // namespace evenhead::io
