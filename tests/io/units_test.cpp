// Conversion factors against the seven digits of NIST Special Publication 811, appendix B (as remembered, not
// looked up; gph, L/s and the rates follow from the definitions by hand); water columns from 1000 kg/m3
// and 9.80665 m/s2.
#include "io/units.hpp"

#include <gtest/gtest.h>

#include <clocale>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <random>
#include <string>

using namespace evenhead;
using io::parse_quantity;
using model::Dimension;
using model::UnitSystem;

namespace {

double value(std::string_view text, Dimension dimension, UnitSystem units = UnitSystem::us) {
    const io::ParsedQuantity parsed = parse_quantity(text, dimension, units);
    EXPECT_EQ(parsed.error, "") << text;
    return parsed.quantity.value;
}

double deviation(std::string_view text, Dimension dimension, UnitSystem units = UnitSystem::us) {
    const io::ParsedQuantity parsed = parse_quantity(text, dimension, units);
    EXPECT_EQ(parsed.error, "") << text;
    return parsed.quantity.deviation;
}

/// Error and mend in one, for looking up words; fails where the text was taken.
std::string refusal(std::string_view text, Dimension dimension, UnitSystem units = UnitSystem::us) {
    const io::ParsedQuantity parsed = parse_quantity(text, dimension, units);
    EXPECT_NE(parsed.error, "") << text;
    EXPECT_NE(parsed.mend, "") << text;
    return parsed.error + " | " + parsed.mend;
}

void expect_relative(double found, double wanted, double tolerance, std::string_view what) {
    EXPECT_NEAR(found / wanted, 1, tolerance) << what;
}

}  // namespace

TEST(Units, FactorsOfThePublishedTable) {
    struct Entry {
        const char* text;
        Dimension dimension;
        double si;
    };
    const Entry entries[] = {
        {"1 psi", Dimension::pressure, 6.894757e3},
        {"1 bar", Dimension::pressure, 1e5},
        {"1 kPa", Dimension::pressure, 1e3},
        {"1 MPa", Dimension::pressure, 1e6},
        {"1 ftH2O", Dimension::pressure, 2.989067e3},
        {"1 mH2O", Dimension::pressure, 9.80665e3},
        {"1 gpm", Dimension::flow, 6.309020e-5},
        {"1 gph", Dimension::flow, 1.051503e-6},
        {"1 cfs", Dimension::flow, 2.831685e-2},
        {"1 L/min", Dimension::flow, 1e-3 / 60},
        {"1 L/s", Dimension::flow, 1e-3},
        {"1 m3/h", Dimension::flow, 2.777778e-4},
        {"1 ft", Dimension::length, 3.048e-1},
        {"1 in", Dimension::length, 2.54e-2},
        {"1 m", Dimension::length, 1},
        {"1 cm", Dimension::bore, 1e-2},
        {"1 mm", Dimension::roughness, 1e-3},
        {"1 ft/s", Dimension::velocity, 3.048e-1},
        {"1 m/s", Dimension::velocity, 1},
        {"1 in/h", Dimension::rate, 7.055556e-6},
        {"1 mm/h", Dimension::rate, 2.777778e-7},
        {"1 ft2", Dimension::area, 9.290304e-2},
        {"1 m2", Dimension::area, 1},
        {"1 %", Dimension::share, 0.01},
        {"1 s", Dimension::time, 1},
        {"1 min", Dimension::time, 60},
        {"1 h", Dimension::time, 3600},
        {"1 MPa", Dimension::modulus, 1e6},
    };
    for (const Entry& entry : entries)
        expect_relative(value(entry.text, entry.dimension), entry.si, 5e-7,
                        entry.text);  // half of the seventh digit
    // By definition: 0.45359237 kg x 9.80665 m/s2 over a square inch; 231 cubic inches in a minute.
    expect_relative(value("1 psi", Dimension::pressure), 0.45359237 * 9.80665 / (0.0254 * 0.0254), 4e-16,
                    "psi");
    expect_relative(value("1 gpm", Dimension::flow), 231 * 0.0254 * 0.0254 * 0.0254 / 60, 4e-16, "gpm");
}

TEST(Units, Temperatures) {
    EXPECT_DOUBLE_EQ(value("60 degF", Dimension::temperature), 140.0 / 9);  // (60 - 32) / 1.8
    EXPECT_DOUBLE_EQ(value("-40 degF", Dimension::temperature), -40);
    EXPECT_DOUBLE_EQ(value("15.6 degC", Dimension::temperature), 15.6);
    EXPECT_DOUBLE_EQ(deviation("60 +- 9 degF", Dimension::temperature), 2.5);  // no offset in a difference
    EXPECT_DOUBLE_EQ(io::to_units(100, Dimension::temperature, UnitSystem::us), 212);
}

TEST(Units, BareNumbersFollowTheCase) {
    EXPECT_DOUBLE_EQ(value("5", Dimension::velocity), 1.524);
    EXPECT_DOUBLE_EQ(value("350", Dimension::pressure, UnitSystem::metric), 350000);
    EXPECT_DOUBLE_EQ(value("25", Dimension::bore, UnitSystem::metric), 0.025);
    EXPECT_DOUBLE_EQ(value("10", Dimension::share), 0.1);
    EXPECT_DOUBLE_EQ(value("2758", Dimension::modulus, UnitSystem::metric), 2.758e9);
    EXPECT_DOUBLE_EQ(value("3.048", Dimension::price), 10);
    EXPECT_DOUBLE_EQ(value("3.048 per ft", Dimension::price, UnitSystem::metric), 10);
    EXPECT_DOUBLE_EQ(value("11.5", Dimension::none), 11.5);
    for (const UnitSystem units : {UnitSystem::us, UnitSystem::metric})
        for (int d = 0; d <= static_cast<int>(Dimension::angle); ++d) {
            const auto dimension = static_cast<Dimension>(d);
            const std::string text = "7.25 " + std::string(io::unit_word(dimension, units));
            EXPECT_EQ(value(text, dimension, units), value("7.25", dimension, units)) << text;
            EXPECT_EQ(io::from_units(7.25, dimension, units), value("7.25", dimension, units)) << text;
            EXPECT_DOUBLE_EQ(io::to_units(io::from_units(7.25, dimension, units), dimension, units), 7.25)
                << text;
        }
}

TEST(Units, Fractions) {
    EXPECT_DOUBLE_EQ(value("1-1/4 in", Dimension::bore), 0.03175);
    EXPECT_DOUBLE_EQ(value("1 1/4 in", Dimension::bore), 0.03175);
    EXPECT_DOUBLE_EQ(value("3/4", Dimension::bore), 0.01905);
    EXPECT_DOUBLE_EQ(value("-1-1/2 ft", Dimension::length), -0.4572);
    EXPECT_DOUBLE_EQ(deviation("1-1/4 +- 1/8 in", Dimension::bore), 0.0015875);
    refusal("3/0", Dimension::bore);
    refusal("1-1/", Dimension::bore);
}

TEST(Units, SpreadsAreTwoDeviations) {
    EXPECT_DOUBLE_EQ(deviation("62 +- 4 psi", Dimension::pressure), 2 * 6894.757293168361);
    EXPECT_DOUBLE_EQ(value("62 +- 4 psi", Dimension::pressure), 62 * 6894.757293168361);
    EXPECT_DOUBLE_EQ(deviation("62 psi ± 20 kPa", Dimension::pressure), 10000);
    EXPECT_DOUBLE_EQ(deviation("4 bar +- 0.2", Dimension::pressure), 10000);
    EXPECT_DOUBLE_EQ(deviation("400 +- 20", Dimension::pressure, UnitSystem::metric), 10000);
    EXPECT_DOUBLE_EQ(deviation("1.8 gpm +- 5 %", Dimension::flow), 0.045 * 0.003785411784 / 60);
    EXPECT_DOUBLE_EQ(deviation("1.8 +-5%", Dimension::flow), 0.045 * 0.003785411784 / 60);
    EXPECT_DOUBLE_EQ(deviation("150 +- 10", Dimension::none), 5);
    EXPECT_DOUBLE_EQ(deviation("150 +- 10 %", Dimension::none), 7.5);
    EXPECT_DOUBLE_EQ(deviation("10 +- 2 %", Dimension::share), 0.01);  // points, not two percent of ten
    EXPECT_DOUBLE_EQ(deviation("-8 +- 5 %", Dimension::pressure), 0.2 * 6894.757293168361);
    EXPECT_EQ(deviation("62", Dimension::pressure), 0);
    refusal("62 +- -4", Dimension::pressure);
    refusal("62 +- 4 gpm", Dimension::pressure);
    refusal("62 +-", Dimension::pressure);
    refusal("+- 4", Dimension::pressure);
}

TEST(Units, VolumeInATime) {
    const double gpm = 0.003785411784 / 60;
    expect_relative(value("10 gal in 146 s", Dimension::flow), 10 / 146.0 * 60 * gpm, 1e-15, "gal");
    expect_relative(value("20 L in 1 min", Dimension::flow, UnitSystem::metric), 20e-3 / 60, 1e-15, "L");
    expect_relative(value("1 m3 in 0.5 h", Dimension::flow), 1 / 1800.0, 1e-15, "m3");
    EXPECT_DOUBLE_EQ(deviation("10 gal in 100 s +- 10 %", Dimension::flow), 0.05 * 6 * gpm);
    EXPECT_DOUBLE_EQ(deviation("10 gal in 100 s +- 10 s", Dimension::flow), 0.05 * 6 * gpm);
    EXPECT_DOUBLE_EQ(deviation("10 gal in 100 s +- 0.6 gpm", Dimension::flow), 0.3 * gpm);
    EXPECT_DOUBLE_EQ(deviation("10 +- 0.3 gal in 100 +- 4 s", Dimension::flow),
                     0.025 * 6 * gpm);  // 3, 4, 5 percent
    refusal("10 gal in 0 s", Dimension::flow);
    refusal("10 gal in 146", Dimension::flow);
    EXPECT_NE(refusal("10 gal", Dimension::flow).find("146 s"), std::string::npos);
    EXPECT_NE(refusal("5 in", Dimension::flow).find("measures a length"), std::string::npos);
    refusal("10 gal in 146 s", Dimension::pressure);
}

TEST(Units, NotKnown) {
    const io::ParsedQuantity parsed = parse_quantity(" ? ", Dimension::pressure, UnitSystem::us);
    EXPECT_EQ(parsed.error, "");
    EXPECT_FALSE(parsed.quantity.known());
    refusal("? psi", Dimension::pressure);
}

TEST(Units, WrongUnitNamesWhatItIsAndWhatIsRight) {
    const std::string message = refusal("62 gpm", Dimension::pressure);
    EXPECT_NE(message.find("gpm measures a flow, not a pressure"), std::string::npos) << message;
    EXPECT_NE(message.find("psi, kPa, bar, MPa, mH2O, ftH2O"), std::string::npos) << message;
    EXPECT_NE(refusal("3 PSI", Dimension::pressure).find("write psi"), std::string::npos);
    EXPECT_NE(refusal("3 feet", Dimension::length).find("write ft"), std::string::npos);
    EXPECT_NE(refusal("1\"", Dimension::bore).find("write in"), std::string::npos);
    EXPECT_NE(refusal("20 l/min", Dimension::flow).find("write L/min"), std::string::npos);
    EXPECT_NE(refusal("150 psi", Dimension::none).find("without a unit"), std::string::npos);
    EXPECT_NE(refusal("3,5 bar", Dimension::pressure).find("point"), std::string::npos);
    EXPECT_NE(refusal("", Dimension::pressure).find("empty"), std::string::npos);
    for (const char* text :
         {"nan", "inf", "-inf", "1e999", "abc", "0x10", "--5", "1e308 MPa", ".", "5 psi psi", "−5"})
        refusal(text, Dimension::pressure);
    refusal(std::string(100000, 'x'), Dimension::pressure);
}

TEST(Units, WordsAndBack) {
    EXPECT_DOUBLE_EQ(io::to_unit(200000, "bar"), 2);
    EXPECT_DOUBLE_EQ(io::to_unit(1, "m3/h"), 3600);
    EXPECT_EQ(io::dimension_of("mH2O"), Dimension::pressure);
    EXPECT_EQ(io::dimension_of("mm"), Dimension::length);
    EXPECT_FALSE(io::dimension_of("furlong"));
    for (const std::string_view word : io::unit_words()) EXPECT_TRUE(io::dimension_of(word)) << word;
}

TEST(Units, ShortestReadsBack) {
    EXPECT_EQ(io::shortest(0.1), "0.1");
    EXPECT_EQ(io::shortest(62), "62");
    EXPECT_EQ(io::shortest(NAN), "null");
    EXPECT_EQ(io::shortest(-INFINITY), "null");
    std::mt19937_64 random(1);
    for (int i = 0; i < 20000; ++i) {
        const std::uint64_t bits = random();
        double number = 0;
        static_assert(sizeof number == sizeof bits);
        std::memcpy(&number, &bits, sizeof number);
        if (!std::isfinite(number)) continue;
        EXPECT_EQ(std::strtod(io::shortest(number).c_str(), nullptr), number);
    }
}

TEST(Units, LocaleDoesNotMatter) {
    const std::string before = std::setlocale(LC_ALL, nullptr);
    for (const char* name : {"de_DE.UTF-8", "fr_FR.UTF-8", "C.UTF-8"})
        if (std::setlocale(LC_ALL, name)) {
            EXPECT_DOUBLE_EQ(value("3.5 m", Dimension::length), 3.5);
            EXPECT_EQ(io::shortest(3.5), "3.5");
        }
    std::setlocale(LC_ALL, before.c_str());
}
