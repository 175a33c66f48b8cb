// The catalogue's figures against the standards' are in tests/validation/catalogue/expected.csv; here also
// what is accepted as a size, the temperature factors and the generic losses.
#include "model/catalogue.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <set>
#include <sstream>

namespace evenhead::model {
namespace {

constexpr double inch = 0.0254;
constexpr double psi = 6894.757293;
constexpr double gpm = 231 * inch * inch * inch / 60;

double celsius(double fahrenheit) {
    return (fahrenheit - 32) / 1.8;
}

std::vector<std::vector<std::string>> expected_rows() {
    std::ifstream file(EVENHEAD_SOURCE_DIR "/tests/validation/catalogue/expected.csv");
    std::vector<std::vector<std::string>> rows;
    std::string line;
    std::getline(file, line);  // the header
    while (std::getline(file, line)) {
        std::vector<std::string> cells;
        std::istringstream cells_of(line);
        for (std::string cell; std::getline(cells_of, cell, ',');) cells.push_back(cell);
        cells.resize(8);
        rows.push_back(cells);
    }
    return rows;
}

TEST(Catalogue, HasEveryPublishedSizeWithItsFigures) {
    const auto rows = expected_rows();
    ASSERT_EQ(rows.size(), 175U);
    for (const auto& row : rows) {
        SCOPED_TRACE(row[0] + " " + row[1]);
        const PipeKind* kind = find_kind(row[0]);
        ASSERT_NE(kind, nullptr);
        const PipeSize* size = find_size(*kind, row[1]);
        ASSERT_NE(size, nullptr);
        const double unit = row[2] == "mm" ? 0.001 : inch;
        // Half of the last printed digit (0.001 in, 0.1 mm), except the reference's own computed columns for
        // high density polyethylene, whose bores are rounded from unrounded walls: one digit.
        const double digit = row[2] == "mm" ? 0.1 : 0.001;
        const double tolerance = row[0].starts_with("hdpe") ? digit * 1.0001 : digit / 2;
        EXPECT_NEAR(size->outside / unit, std::stod(row[3]), digit / 2);
        EXPECT_NEAR(size->wall / unit, std::stod(row[4]), digit / 2);
        EXPECT_NEAR(size->bore.value / unit, std::stod(row[5]), tolerance);
        EXPECT_EQ(size->kind, row[0]);
        EXPECT_EQ(size->rating.has_value(), !row[7].empty());
        if (size->rating) {
            const double pressure = row[6] == "bar" ? 1e5 : psi;
            EXPECT_NEAR(size->rating->value / pressure, std::stod(row[7]), 1e-6);
        }
    }
}

TEST(Catalogue, HoldsTheKindsOfTheCaseFormatWithTheirDefaults) {
    struct Default {
        const char* name;
        Material material;
        double c, roughness;
    };
    const std::vector<Default> defaults{{"pvc-sch40", Material::pvc, 150, 1.5e-6},
                                        {"pvc-sch80", Material::pvc, 150, 1.5e-6},
                                        {"pvc-cl315", Material::pvc, 150, 1.5e-6},
                                        {"pvc-cl200", Material::pvc, 150, 1.5e-6},
                                        {"pvc-cl160", Material::pvc, 150, 1.5e-6},
                                        {"pe-sidr19", Material::polyethylene, 140, 1.5e-6},
                                        {"pe-sidr15", Material::polyethylene, 140, 1.5e-6},
                                        {"pe-sidr11.5", Material::polyethylene, 140, 1.5e-6},
                                        {"hdpe-dr17", Material::polyethylene, 140, 1.5e-6},
                                        {"hdpe-dr11", Material::polyethylene, 140, 1.5e-6},
                                        {"pe100-sdr17", Material::polyethylene, 140, 1.5e-6},
                                        {"pe100-sdr11", Material::polyethylene, 140, 1.5e-6},
                                        {"copper-k", Material::copper, 140, 1.5e-6},
                                        {"copper-l", Material::copper, 140, 1.5e-6},
                                        {"copper-m", Material::copper, 140, 1.5e-6},
                                        {"steel-sch40", Material::steel, 120, 4.5e-5}};
    ASSERT_EQ(pipe_kinds().size(), defaults.size());
    for (std::size_t row = 0; row < defaults.size(); ++row) {
        const PipeKind& kind = pipe_kinds()[row];
        SCOPED_TRACE(kind.name);
        EXPECT_EQ(kind.name, defaults[row].name);
        EXPECT_EQ(kind.material, defaults[row].material);
        EXPECT_EQ(kind.c, defaults[row].c);
        EXPECT_DOUBLE_EQ(kind.roughness, defaults[row].roughness);
        EXPECT_FALSE(kind.standard.empty());
        EXPECT_FALSE(kind.bore_rule.empty());
        EXPECT_FALSE(kind.source.empty());
        EXPECT_GT(kind.modulus, 5e8);
        EXPECT_EQ(kind.metric, kind.standard == "ISO 4427");
        EXPECT_EQ(kind.rating_rule.empty(), !kind.sizes.front().rating.has_value());
        for (std::size_t size = 0; size < kind.sizes.size(); ++size) {
            const PipeSize& now = kind.sizes[size];
            EXPECT_EQ(now.material, kind.material);
            EXPECT_EQ(now.c.value, kind.c);
            EXPECT_EQ(now.roughness.value, kind.roughness);
            EXPECT_EQ(now.modulus, kind.modulus);
            EXPECT_NEAR(now.outside, now.bore.value + 2 * now.wall, 1e-12);
            if (size > 0) {
                EXPECT_GT(now.bore.value, kind.sizes[size - 1].bore.value) << now.nominal;
            }
        }
    }
}

// PVC 400,000 psi: the modulus behind the published surge pressures by dimension ratio (20.2 psi per ft/s at
// SDR 13.5, 16.0 at 21, 14.4 at 26; AWWA M23). Wave speed 4660 / sqrt(1 + K/E (DR - 2)) ft/s, K = 300,000
// psi.
TEST(Catalogue, ModulusOfPvcGivesThePublishedSurge) {
    struct Row {
        const char* kind;
        double ratio, surge;
    };
    for (const Row& row :
         {Row{"pvc-cl315", 13.5, 20.2}, Row{"pvc-cl200", 21, 16.0}, Row{"pvc-cl160", 26, 14.4}}) {
        const double modulus = find_kind(row.kind)->modulus / psi;
        const double speed = 4660 / std::sqrt(1 + 300000 / modulus * (row.ratio - 2));
        EXPECT_NEAR(speed / (2.31 * 32.2), row.surge, 0.1) << row.kind;
    }
}

// ASTM D1785, D2241 and D3035: P = 2 S t / (D - t); ISO 4427: PN = 20 sigma / (SDR - 1). The published
// ratings are rounded to 10 psi (Schedule 40 and 80); 315 psi stands for 320.
TEST(Catalogue, RatingsFollowFromTheWalls) {
    for (const char* name : {"pvc-sch40", "pvc-sch80"})
        for (const PipeSize& size : find_kind(name)->sizes) {
            const double rating = 2 * 2000 * size.wall / (size.outside - size.wall);
            EXPECT_NEAR(size.rating->value / psi, rating, 5.5) << name << " " << size.nominal;
        }
    const auto by_ratio = [](double stress, double ratio) { return 2 * stress / (ratio - 1); };
    EXPECT_NEAR(find_kind("pvc-cl200")->sizes[0].rating->value / psi, by_ratio(2000, 21), 1e-6);
    EXPECT_NEAR(find_kind("pvc-cl160")->sizes[0].rating->value / psi, by_ratio(2000, 26), 1e-6);
    EXPECT_NEAR(find_kind("pvc-cl315")->sizes[0].rating->value / psi, by_ratio(2000, 13.5), 5.1);
    EXPECT_NEAR(find_kind("hdpe-dr11")->sizes[0].rating->value / psi, by_ratio(800, 11), 1e-6);
    EXPECT_NEAR(find_kind("hdpe-dr17")->sizes[0].rating->value / psi, by_ratio(800, 17), 1e-6);
    EXPECT_NEAR(find_kind("pe100-sdr11")->sizes[0].rating->value / 1e5, 20 * 8. / (11 - 1), 1e-6);
    EXPECT_NEAR(find_kind("pe100-sdr17")->sizes[0].rating->value / 1e5, 20 * 8. / (17 - 1), 1e-6);
}

TEST(Catalogue, TakesASizeHoweverItIsWritten) {
    const PipeKind& pvc = *find_kind("pvc-cl200");
    const PipeSize* wanted = find_size(pvc, "1-1/4");
    ASSERT_NE(wanted, nullptr);
    EXPECT_EQ(wanted->nominal, "1-1/4");
    for (const char* text : {"1 1/4", "1.25", "1-1/4 in", "1-1/4\"", " 1 1/4 inch ", "1.250"})
        EXPECT_EQ(find_size(pvc, text), wanted) << text;
    EXPECT_EQ(find_size(pvc, ".75"), find_size(pvc, "3/4"));
    EXPECT_EQ(find_size(pvc, "2.0"), find_size(pvc, "2"));
    const PipeKind& metric = *find_kind("pe100-sdr11");
    for (const char* text : {"32 mm", "32mm", "DN32", "DN 32", "dn32", "d32", "32.0"})
        EXPECT_EQ(find_size(metric, text), find_size(metric, "32")) << text;
}

TEST(Catalogue, RefusesWhatIsNoSizeOfTheKind) {
    const PipeKind& pvc = *find_kind("pvc-cl200");
    for (const char* text :
         {"",    " ",   "1/2",    "7",   "-1",  "1-",    "1/",  "/4",  "5/4",     "1-5/4",
          "1/0", "1 1", "1--1/4", "1e0", "one", "32 mm", "nan", "inf", "1-1/4 x", "1-1/-4"})
        EXPECT_EQ(find_size(pvc, text), nullptr) << text;
    EXPECT_EQ(find_size(*find_kind("pe100-sdr17"), "20"), nullptr);  // no such wall in the standard's table
    EXPECT_EQ(find_size(*find_kind("pe100-sdr11"), "1-1/4"), nullptr);
    EXPECT_EQ(find_kind("pvc"), nullptr);
    EXPECT_EQ(find_kind(""), nullptr);
}

// Machinery's Handbook, 31st edition, page 2770.
TEST(Catalogue, LowersTheRatingOfPvcInWarmWater) {
    const auto factor = [](double fahrenheit) { return rating_factor(Material::pvc, celsius(fahrenheit)); };
    EXPECT_EQ(factor(32), 1.0);
    EXPECT_NEAR(factor(73.4).value(), 1.00, 1e-12);
    EXPECT_NEAR(factor(80).value(), 0.88, 1e-9);
    EXPECT_NEAR(factor(100).value(), 0.62, 1e-9);
    EXPECT_NEAR(factor(105).value(), 0.56, 1e-9);  // halfway between 0.62 and 0.50
    EXPECT_NEAR(factor(139.9999).value(), 0.22, 1e-5);
    EXPECT_FALSE(factor(141).has_value());
    EXPECT_FALSE(rating_factor(Material::pvc, std::nan("")).has_value());
    // Class 200 at 100 degF carries 124 psi.
    EXPECT_NEAR(find_kind("pvc-cl200")->sizes[0].rating->value / psi * *factor(100), 124, 1e-6);
}

// Inch polyethylene: straight in 1/T between the long-term strengths 1600 psi at 73 degF and 800 psi at 140
// degF.
TEST(Catalogue, LowersTheRatingOfPolyethyleneInWarmWater) {
    const auto inverse = [](double fahrenheit) { return 1 / (celsius(fahrenheit) + 273.15); };
    for (const double fahrenheit : {80., 90., 100., 110., 120., 130., 139.99}) {
        const double share = (inverse(73.4) - inverse(fahrenheit)) / (inverse(73.4) - inverse(140));
        EXPECT_NEAR(rating_factor(Material::polyethylene, celsius(fahrenheit)).value(), 1 - share / 2, 0.011)
            << fahrenheit;
    }
    const PipeSize& metric = find_kind("pe100-sdr11")->sizes[0];
    EXPECT_EQ(rating_factor(metric, 20), 1.0);
    EXPECT_NEAR(rating_factor(metric, 30).value(), 0.87, 1e-9);
    EXPECT_NEAR(rating_factor(metric, 40).value(), 0.74, 1e-9);
    EXPECT_FALSE(rating_factor(metric, 41).has_value());
    const PipeSize& inches = find_kind("hdpe-dr11")->sizes[0];
    EXPECT_EQ(rating_factor(inches, 35), rating_factor(Material::polyethylene, 35));
    PipeSize own;  // of no catalogued kind
    own.material = Material::pvc;
    EXPECT_EQ(rating_factor(own, 30), rating_factor(Material::pvc, 30));
}

TEST(Catalogue, KnowsNoFactorsOfMetals) {
    EXPECT_FALSE(rating_factor(Material::copper, 10).has_value());
    EXPECT_FALSE(rating_factor(Material::steel, 10).has_value());
    EXPECT_FALSE(rating_factor(Material::unknown, 10).has_value());
}

TEST(GenericLoss, GrowsLessWithTheSizeAndSaysItsBasis) {
    for (const char* type : {"meter", "backflow", "filter", "valve", "master", "regulator", "quick-coupler",
                             "check", "gate", "flow-sensor"}) {
        SCOPED_TRACE(type);
        const auto sizes = generic_sizes(type);
        ASSERT_GE(sizes.size(), 7U);
        double last_flow = 0;
        for (const std::string& size : sizes) {
            const auto loss = generic_loss(type, size);
            ASSERT_TRUE(loss.has_value());
            EXPECT_EQ(loss->size, size);
            EXPECT_FALSE(loss->basis.empty());
            ASSERT_FALSE(loss->chart.empty());
            EXPECT_GT(loss->chart.back().at.value, last_flow);
            EXPECT_GT(loss->chart.back().value.value,
                      loss->chart.size() > 1 ? loss->chart.front().value.value : 0);
            last_flow = loss->chart.back().at.value;
        }
    }
    EXPECT_TRUE(generic_sizes("pump").empty());
    EXPECT_FALSE(generic_loss("other", "1").has_value());
    EXPECT_FALSE(generic_loss("valve", "9").has_value());
    EXPECT_FALSE(generic_loss("valve", "large").has_value());
}

// Fully open globe valve K = 10, swing check 2, gate 0.15, threaded tee in line 0.9: Munson, Young and
// Okiishi, Fundamentals of Fluid Mechanics, Table 8.2. K V^2 / 2 rho with 60 degF water, 999.0 kg/m3.
TEST(GenericLoss, FollowsTheHandbooksCoefficients) {
    const std::vector<std::pair<const char*, double>> handbook{
        {"valve", 10}, {"master", 10}, {"regulator", 10},   {"quick-coupler", 10},
        {"check", 2},  {"gate", 0.15}, {"flow-sensor", 0.9}};
    const std::vector<std::pair<const char*, double>> sizes{{"3/4", 0.75},  {"1", 1}, {"1-1/4", 1.25},
                                                            {"1-1/2", 1.5}, {"2", 2}, {"2-1/2", 2.5},
                                                            {"3", 3},       {"4", 4}};
    for (const auto& [type, k] : handbook)
        for (const auto& [size, bore] : sizes) {
            const auto loss = generic_loss(type, size);
            ASSERT_TRUE(loss.has_value()) << type << " " << size;
            const double d = bore * inch;
            const double velocity = loss->chart[0].at.value / (std::acos(-1.0) / 4 * d * d);
            EXPECT_NEAR(loss->chart[0].value.value, k * velocity * velocity / 2 * 999.0,
                        0.005 * loss->chart[0].value.value)
                << type << " " << size;
        }
}

TEST(GenericLoss, TakesMillimetresForInches) {
    const auto inches = generic_loss("valve", "1");
    ASSERT_TRUE(inches.has_value());
    for (const char* text : {"25", "25 mm", "DN25", "DN 25", "1 in", "1.0"}) {
        const auto loss = generic_loss("valve", text);
        ASSERT_TRUE(loss.has_value()) << text;
        EXPECT_EQ(loss->size, "1") << text;
    }
    EXPECT_EQ(generic_loss("meter", "40")->size, "1-1/2");
    EXPECT_FALSE(generic_loss("valve", "26").has_value());
}

// AWWA C700, from memory: 3/4 in 30 gpm, 1 in 50 gpm, 2 in 160 gpm safe greatest flow.
TEST(GenericLoss, MeterIsFullAtItsSafeFlow) {
    EXPECT_NEAR(generic_loss("meter", "3/4")->chart[0].at.value / gpm, 30, 1e-9);
    EXPECT_NEAR(generic_loss("meter", "1")->chart[0].value.value / psi, 15, 1e-6);
    EXPECT_NEAR(generic_loss("meter", "2")->chart[0].at.value / gpm, 160, 1e-9);
    const auto backflow = generic_loss("backflow", "1");
    EXPECT_EQ(backflow->chart[0].at.value, 0);  // a constant part: the relief valve's difference
    EXPECT_GT(backflow->chart[0].value.value / psi, 7);
}

}  // namespace
}  // namespace evenhead::model
