#include "io/workbook/constants_parts.hpp"

#include <fmt/format.h>

#include <array>
#include <stdexcept>
#include <string>
#include <string_view>

#include "io/units.hpp"
#include "solver/water.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

constexpr int columns = 5;

/// One of a unit in SI, as its definition has it. A metre of water is the conventional one.
struct Definition {
    std::string_view word, formula;
};
constexpr std::array<Definition, 18> definitions{{
    {"psi", "0.45359237*9.80665/0.0254^2"},
    {"kPa", "1000"},
    {"bar", "100000"},
    {"MPa", "1000000"},
    {"mH2O", "9806.65"},
    {"ftH2O", "0.3048*9806.65"},
    {"gpm", "231*0.0254^3/60"},
    {"gph", "231*0.0254^3/3600"},
    {"L/min", "0.001/60"},
    {"L/s", "0.001"},
    {"m3/h", "1/3600"},
    {"cfs", "0.3048^3"},
    {"ft", "0.3048"},
    {"in", "0.0254"},
    {"m", "1"},
    {"cm", "0.01"},
    {"mm", "0.001"},
    {"ft/s", "0.3048"},
}};

std::string_view definition_of(std::string_view word) {
    for (const Definition& row : definitions)
        if (row.word == word) return row.formula;
    if (word == "m/s") return "1";
    throw std::logic_error("no definition of the unit " + std::string(word));
}

std::string density_formula(const std::string& celsius) {
    return fmt::format(
        "(999.83952+{0}*(16.945176+{0}*(-0.0079870401+{0}*(-0.000046170461+{0}*(0.00000010556302-{0}*"
        "0.00000000028054253)))))/(1+0.01687985*{0})",
        celsius);
}

std::string viscosity_formula(const std::string& celsius) {
    const std::string t = fmt::format("(({}+273.15)/300)", celsius);
    return fmt::format("0.000001*(280.68*{0}^(-1.9)+511.45*{0}^(-7.7)+61.131*{0}^(-19.6)+0.45903*{0}^(-40))",
                       t);
}

class ConstantsWriter {
  public:
    ConstantsWriter(Book& book, Sheet& sheet, int row) : book_(book), sheet_(sheet), row_(row) {}

    void number(const char* name, double value, std::string_view unit, std::string_view what,
                std::string_view source, Look look = Look::input) {
        sheet_.number(row_, 1, value, look, "General");
        finish(name, unit, what, source);
    }
    void formula(const char* name, const std::string& formula, double value, std::string_view unit,
                 std::string_view what, std::string_view source) {
        sheet_.formula(row_, 1, formula, value, Look::result, "General");
        finish(name, unit, what, source);
    }
    int row() const { return row_; }

  private:
    void finish(const char* name, std::string_view unit, std::string_view what, std::string_view source) {
        sheet_.text(row_, 0, name, Look::label);
        sheet_.text(row_, 2, unit, Look::note);
        sheet_.text(row_, 3, what, Look::note);
        sheet_.text(row_, 4, source, Look::note);
        book_.define(name, sheet_.name(), cell_name(row_, 1, true));
        ++row_;
    }

    Book& book_;
    Sheet& sheet_;
    int row_;
};

}  // namespace

void write_constants(Book& book, Sheet& sheet, const Speaker& speaker, bool letter) {
    sheet.width(0, 0, 22);
    sheet.width(1, 1, 20);
    sheet.width(2, 2, 9);
    sheet.width(3, 3, 50);
    sheet.width(4, 4, 50);
    sheet.text(0, 0, "Constants", Look::title);
    sheet.height(0, 22);
    sheet.paragraph(
        1, 0, columns - 1,
        "Formulas use these by name. Another temperature changes density and viscosity on every sheet.",
        Look::small);
    const std::array<const char*, columns> headings{"Name", "Value", "Unit", "What it is", "Source"};
    for (int column = 0; column < columns; ++column)
        sheet.text(3, column, headings[static_cast<std::size_t>(column)],
                   column == 0   ? Look::heading_left
                   : column == 1 ? Look::heading
                                 : Look::heading_note);

    const model::System& system = speaker.system;
    const ShownUnits& units = speaker.units;
    const double celsius = system.temperature, rho = solver::density(celsius);
    const std::string_view degrees = units.word(Dimension::temperature);
    constexpr double reference = (60 - 32) / 1.8;
    ConstantsWriter rows(book, sheet, 4);
    rows.number("temperature", units.in_unit(celsius, Dimension::temperature), degrees,
                "temperature of the water", "the case, or what is usual");
    rows.formula("temperature_C", degrees == "degF" ? "(temperature-32)/1.8" : "temperature", celsius, "degC",
                 "the same in degrees Celsius", "definition of the degree");
    rows.formula("density", density_formula("temperature_C"), rho, "kg/m3", "density of the water",
                 "Kell, J. Chem. Eng. Data 20 (1975) 97-105, eq. 16");
    rows.formula("density_60F", density_formula("((60-32)/1.8)"), solver::density(reference), "kg/m3",
                 "density of the water that cv and kv are measured with", "the same, at 60 degF");
    rows.formula("kinematic_viscosity", viscosity_formula("temperature_C") + "/density",
                 solver::viscosity(celsius) / rho, "m2/s", "kinematic viscosity (Darcy-Weisbach)",
                 "IAPWS SR6-08, liquid water at 0.1 MPa");
    rows.number("gravity", solver::gravity, "m/s2", "standard acceleration of gravity", "ISO 80000-3",
                Look::result);
    const auto unit = [&](const char* name, Dimension dimension, const char* of) {
        const std::string word(units.word(dimension));
        rows.formula(name, std::string(definition_of(word)), 1 / units.in_unit(1, dimension), of,
                     fmt::format("{} in 1 {}", of, word), "definition of the unit");
    };
    unit("pressure_unit", Dimension::pressure, "Pa");
    unit("flow_unit", Dimension::flow, "m3/s");
    unit("length_unit", Dimension::length, "m");
    unit("bore_unit", Dimension::bore, "m");
    unit("roughness_unit", Dimension::roughness, "m");
    unit("velocity_unit", Dimension::velocity, "m/s");
    const auto of_coefficient = [&](const char* name, const char* word, const char* of, const char* what) {
        const std::string formula(definition_of(word));
        rows.formula(name, formula, 1 / to_unit(1, word), of, what, "definition of the unit");
    };
    of_coefficient("cv_flow", "gpm", "m3/s", "flow that cv = 1 passes ...");
    of_coefficient("cv_pressure", "psi", "Pa", "... at this loss");
    of_coefficient("kv_flow", "m3/h", "m3/s", "flow that kv = 1 passes ...");
    of_coefficient("kv_pressure", "bar", "Pa", "... at this loss");

    PrintSetup setup;
    setup.letter = letter;
    setup.landscape = true;
    setup.last_row = rows.row();
    setup.last_column = columns - 1;
    setup.heading_row = 3;
    sheet.print(setup);
}

}  // namespace evenhead::io
