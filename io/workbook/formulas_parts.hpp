// The laws as formulas of cells, in SI by the units' names (io/workbook/constants.cpp), and back in the units
// shown.
#pragma once

#include <array>
#include <string>

#include "io/workbook/run_sheet_parts.hpp"

namespace evenhead::io {

/// Where a pipe by Darcy-Weisbach keeps its inputs and what lies on the way to its friction factor.
struct FrictionCells {
    std::string velocity, bore, length, roughness, reynolds, factor;
    std::array<std::string, 4> root;  ///< 1/sqrt(f): a first guess and three steps
};
/// What those cells hold; SI.
struct FrictionSteps {
    double reynolds = 0, factor = 0;
    std::array<double, 4> root{};
};
/// Temperature degC, velocity m/s, bore and roughness m.
FrictionSteps friction_steps(double temperature, double velocity, double bore, double roughness);

/// Each takes the names of cells. Changes are negative where pressure is lost.
struct Formulas {
    static std::string velocity(const std::string& flow, const std::string& bore);
    static std::string hazen_williams(const std::string& flow, const std::string& bore,
                                      const std::string& length, const std::string& c);
    /// What a minor loss coefficient takes: above zero.
    static std::string minor(const std::string& k, const std::string& velocity);
    static std::string elevation(const std::string& from, const std::string& to);
    /// `kind`: cv or kv.
    static std::string coefficient(const std::string& flow, const std::string& of, const std::string& kind);
    static std::string reynolds(const FrictionCells& cells);
    static std::string root(const FrictionCells& cells, std::size_t step);
    static std::string factor(const FrictionCells& cells);
    static std::string darcy_weisbach(const FrictionCells& cells);
};

/// "Enough pressure" or "Too little pressure", by the cell of a margin; and the same for its number.
std::string verdict_formula(const std::string& margin);
std::string verdict(double margin);

/// "Flow\ngpm"
std::string column_heading(Column column, const Speaker& speaker);

}  // namespace evenhead::io
