// By Darcy-Weisbach the factor is wanted that Colebrook-White gives, x = 1/sqrt(f) = -2 log10(e + 2.51 x /
// Re). A cell cannot go round, so it takes a first guess (Haaland, within 2 %) and three steps of Newton's
// method, each in a cell of its own: after them x stands to rounding (solver/laws/darcy_weisbach.cpp).
#include "io/workbook/formulas_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "solver/laws/darcy_weisbach.hpp"
#include "solver/water.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

constexpr const char* enough = "Enough pressure";
constexpr const char* too_little = "Too little pressure";
constexpr double turbulent_start = 4000;

}  // namespace

FrictionSteps friction_steps(double temperature, double velocity, double bore, double roughness) {
    FrictionSteps steps;
    steps.reynolds = velocity * bore * solver::density(temperature) / solver::viscosity(temperature);
    if (steps.reynolds > 0) steps.factor = solver::friction_factor(steps.reynolds, roughness / bore);
    const double reynolds = std::max(steps.reynolds, turbulent_start), e = roughness / (3.7 * bore);
    double x = 1.8 * std::log10(reynolds / (6.9 + reynolds * std::pow(e, 1.11)));
    for (double& root : steps.root) {
        root = x;
        const double argument = e + 2.51 * x / reynolds;
        x -= (x + 2 * std::log10(argument)) / (1 + 2 / std::log(10.0) * 2.51 / reynolds / argument);
    }
    return steps;
}

std::string Formulas::velocity(const std::string& flow, const std::string& bore) {
    return fmt::format("{}*flow_unit/(PI()/4*({}*bore_unit)^2)/velocity_unit", flow, bore);
}

std::string Formulas::hazen_williams(const std::string& flow, const std::string& bore,
                                     const std::string& length, const std::string& c) {
    return fmt::format(
        "-(10.67*{2}*length_unit*({0}*flow_unit/{3})^1.852/({1}*bore_unit)^4.8704*density*gravity/"
        "pressure_unit)",
        flow, bore, length, c);
}

std::string Formulas::minor(const std::string& k, const std::string& velocity) {
    return fmt::format("{}*density*({}*velocity_unit)^2/2/pressure_unit", k, velocity);
}

std::string Formulas::elevation(const std::string& from, const std::string& to) {
    return fmt::format("({}-{})*length_unit*density*gravity/pressure_unit", from, to);
}

std::string Formulas::coefficient(const std::string& flow, const std::string& of, const std::string& kind) {
    return fmt::format("-(({0}*flow_unit/({1}*{2}_flow))^2*{2}_pressure*density/density_60F/pressure_unit)",
                       flow, of, kind);
}

std::string Formulas::reynolds(const FrictionCells& cells) {
    return fmt::format("{}*velocity_unit*{}*bore_unit/kinematic_viscosity", cells.velocity, cells.bore);
}

std::string Formulas::root(const FrictionCells& cells, std::size_t step) {
    const std::string reynolds = fmt::format("MAX({},4000)", cells.reynolds),
                      e = fmt::format("{}*roughness_unit/(3.7*{}*bore_unit)", cells.roughness, cells.bore);
    if (step == 0) return fmt::format("1.8*LOG10({0}/(6.9+{0}*({1})^1.11))", reynolds, e);
    const std::string& x = cells.root[step - 1];
    const std::string argument = fmt::format("({}+2.51*{}/{})", e, x, reynolds);
    return fmt::format("{0}-({0}+2*LOG10({1}))/(1+2/LN(10)*2.51/{2}/{1})", x, argument, reynolds);
}

std::string Formulas::factor(const FrictionCells& cells) {
    return fmt::format(
        "IF({0}<=0,0,IF({0}<=2000,64/{0},IF({0}>=4000,1/{1}^2,(128000+(4000^2/{1}^2-128000)*({0}-2000)/2000)/"
        "{0}^2)))",
        cells.reynolds, cells.root.back());
}

std::string Formulas::darcy_weisbach(const FrictionCells& cells) {
    return fmt::format("-({}*{}*length_unit/({}*bore_unit)*density*({}*velocity_unit)^2/2/pressure_unit)",
                       cells.factor, cells.length, cells.bore, cells.velocity);
}

std::string verdict_formula(const std::string& margin) {
    return fmt::format("IF(ROUND({},6)>=0,\"{}\",\"{}\")", margin, enough, too_little);
}

std::string verdict(double margin) {
    return margin >= 0 ? enough : too_little;
}

std::string column_heading(Column column, const Speaker& speaker) {
    const auto with = [&](const char* words, Dimension dimension) {
        return fmt::format("{}\n{}", words, speaker.units.word(dimension));
    };
    switch (column) {
        case Column::way:
            return "On the way";
        case Column::flow:
            return with("Flow", Dimension::flow);
        case Column::bore:
            return with("Bore", Dimension::bore);
        case Column::length:
            return with("Length", Dimension::length);
        case Column::friction:
            return speaker.system.friction == model::FrictionLaw::hazen_williams
                       ? "C"
                       : with("Roughness", Dimension::roughness);
        case Column::k:
            return "k";
        case Column::share:
            return "Fittings\n% more";
        case Column::coefficient:
            return "cv or kv";
        case Column::set:
            return with("Static, set", Dimension::pressure);
        case Column::elevation:
            return with("Elevation", Dimension::length);
        case Column::velocity:
            return with("Velocity", Dimension::velocity);
        case Column::change:
            return with("Change", Dimension::pressure);
        case Column::pressure:
            return with("Pressure", Dimension::pressure);
        case Column::law:
            return "By";
        case Column::chart_row:
            return "Chart row";
        case Column::chart_share:
            return "Share of\nthe step";
        case Column::chart_start:
            return with("At its start", Dimension::pressure);
        case Column::chart_end:
            return with("At its end", Dimension::pressure);
        case Column::slope_start:
            return with("Start slope", Dimension::pressure);
        case Column::slope_end:
            return with("End slope", Dimension::pressure);
        case Column::reynolds:
            return "Reynolds\nnumber";
        case Column::root_0:
            return "1/√f\nguess";
        case Column::root_1:
            return "1/√f\nstep 1";
        case Column::root_2:
            return "1/√f\nstep 2";
        case Column::root_3:
            return "1/√f\nstep 3";
        case Column::factor:
            return "Friction\nfactor";
        case Column::gap:
            break;
    }
    return "";
}

}  // namespace evenhead::io
