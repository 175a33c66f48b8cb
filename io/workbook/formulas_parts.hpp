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
    std::string velocity(const std::string& flow, const std::string& bore) const;
    std::string hazen_williams(const std::string& flow, const std::string& bore, const std::string& length,
                               const std::string& c) const;
    /// What a minor loss coefficient takes: above zero.
    std::string minor(const std::string& k, const std::string& velocity) const;
    std::string elevation(const std::string& from, const std::string& to) const;
    /// `kind`: cv or kv.
    std::string coefficient(const std::string& flow, const std::string& of, const std::string& kind) const;
    std::string reynolds(const FrictionCells& cells) const;
    std::string root(const FrictionCells& cells, std::size_t step) const;
    std::string factor(const FrictionCells& cells) const;
    std::string darcy_weisbach(const FrictionCells& cells) const;
};

/// "Enough pressure" or "Too little pressure", by the cell of a margin; and the same for its number.
std::string verdict_formula(const std::string& margin);
std::string verdict(double margin);

/// "Flow\ngpm"
std::string column_heading(Column column, const Speaker& speaker);

}  // namespace evenhead::io
