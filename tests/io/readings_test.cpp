// Readings in a file of their own, against a case; and tables of priors.
#include "io/read/readings.hpp"
#include "io/read/user_tables.hpp"

#include <gtest/gtest.h>

#include "tests/io/case_folder.hpp"
#include "tests/io/planted.hpp"

namespace evenhead::io {
namespace {

constexpr double psi = 6894.757293168361, gpm = 231 * 0.0254 * 0.0254 * 0.0254 / 60;

class ReadingsFile : public testing::Test {
  protected:
    void read_case(const std::string& more = "") {
        folder_.write("case.toml", every_kind_case + more);
        case_ = folder_.read();
        ASSERT_TRUE(case_.system);
    }
    FileReading read(const std::string& name, const std::string& text) {
        folder_.write(name, text);
        return read_readings(path(name), case_);
    }
    std::string path(const std::string& name) { return (folder_.path() / name).string(); }
    static Words words(const FileReading& reading) {
        Words said;
        for (const model::Issue& issue : reading.errors)
            said.push_back(std::to_string(issue.place.line) + ":" + std::to_string(issue.place.column) +
                           ": " + issue.row + ": " + issue.text + " | " + issue.mend);
        return said;
    }

    CaseFolder folder_;
    CaseReading case_;
};

TEST_F(ReadingsFile, TakesThePlaceOfTheReadingsOfTheCase) {
    read_case(
        "readings = [ { run = \"front\", at = \"L1\", pressure = 50 } ]\n"
        "seen = [ { what = \"dry\", at = \"L2\" } ]\n");
    const std::size_t points = case_.system->points.size();
    const FileReading reading = read("r.csv",
                                     "run,at,side,pressure,flow,gauge\n"
                                     "none,street,,75,,\nfront,meter,,,16.4 gpm +- 2 %,\n"
                                     "back,B2,,31 psi +- 1 psi,,riser\nfront,lawn,inlet,58,,\n");
    ASSERT_EQ(words(reading), Words{});
    const auto& readings = case_.system->readings;
    ASSERT_EQ(readings.size(), 4U);
    EXPECT_TRUE(readings[0].all_shut);
    EXPECT_DOUBLE_EQ(readings[0].pressure->value, 75 * psi);
    EXPECT_DOUBLE_EQ(readings[0].pressure->deviation, psi);
    EXPECT_EQ(readings[1].run, 0);
    EXPECT_NEAR(readings[1].flow->deviation, 0.01 * 16.4 * gpm, 1e-12);
    EXPECT_EQ(case_.system->point_id(readings[2].point), "B2");
    EXPECT_EQ(readings[2].gauge, model::Gauge::riser);
    EXPECT_DOUBLE_EQ(readings[2].pressure->deviation, psi / 2);
    EXPECT_EQ(readings[3].side, model::Side::inlet);
    // What was seen is not said anew: that of the case stays. Nothing else has changed.
    ASSERT_EQ(case_.system->seen.size(), 1U);
    EXPECT_EQ(case_.system->points.size(), points);
    EXPECT_EQ(case_.system->files.front(), case_.files.front());
}

TEST_F(ReadingsFile, MayBeTomlAndSayWhatWasSeen) {
    read_case("seen = [ { what = \"dry\", at = \"L2\" }, { what = \"wet\", at = \"L3\" } ]\n");
    const FileReading reading =
        read("r.toml",
             "readings = [ { run = \"front\", at = \"L1\", pressure = \"3.5 bar\" } ]\n"
             "seen = [ { what = \"head-count\", at = \"lawn\", value = \"7\" }, { what = \"wet\", at = "
             "\"L3-L4\" } ]\n");
    ASSERT_EQ(words(reading), Words{});
    EXPECT_NEAR(case_.system->readings.at(0).pressure->value, 3.5e5, 1e-6);
    ASSERT_EQ(case_.system->seen.size(), 2U);
    EXPECT_EQ(case_.system->seen[0].what, "head-count");
    EXPECT_NE(case_.system->seen[0].valve, model::none);
    EXPECT_NE(case_.system->seen[1].pipe, model::none);
}

TEST_F(ReadingsFile, IsRefusedWholeWithPlaceAndMend) {
    read_case("readings = [ { run = \"front\", at = \"L1\", pressure = 50 } ]\n");
    EXPECT_EQ(
        words(read("r.csv", "run,at,pressure,flow,colour\nfrint,L1,31,,\nfront,L11,31,,red\nfront,L2,,,\n")),
        (Words{"1:5: the first line, field 5: a row of readings has no key \"colour\" | its keys are run at "
               "pressure flow gauge side",
               "2:1: L1: nobody defines the run \"frint\" | did you mean \"front\"?",
               "3:2: L11: nobody defines the point \"L11\" | did you mean \"L1\"?",
               "4:1: L2: pressure is missing | give the pressure or the flow that was read"}));
    ASSERT_EQ(case_.system->readings.size(), 1U) << "the case's own are still there";
    EXPECT_EQ(case_.system->readings[0].run, 0);
}

TEST_F(ReadingsFile, HoldsReadingsOnly) {
    read_case();
    const FileReading tables = read("r.toml", "pipes = []\ntitle = \"x\"\nreadings = []\n");
    ASSERT_EQ(tables.errors.size(), 2U);
    for (const model::Issue& issue : tables.errors)
        EXPECT_EQ(issue.mend, "it holds the tables readings and seen only");
    EXPECT_EQ(read("empty.csv", "run,at,pressure\n").errors.at(0).text, "the file has no reading");
    EXPECT_EQ(read_readings(path("absent.csv"), case_).errors.size(), 1U);
    EXPECT_TRUE(case_.system) << "the case is as it was";
    EXPECT_FALSE(case_.system->points.empty());
}

TEST_F(ReadingsFile, PriorsAreATableOfTheCataloguesForm) {
    std::optional<model::FaultPriors> priors;
    folder_.write("mine.txt", "fault leak 50\n# and the rest as it is\n");
    EXPECT_EQ(words(read_priors(path("mine.txt"), priors)), Words{});
    ASSERT_TRUE(priors);
    EXPECT_EQ((*priors)[model::FaultKind::leak].weight, 50);

    priors.reset();
    folder_.write("bad.txt", "fault leak 50\n\nfault leek 2\n");
    const Words said = words(read_priors(path("bad.txt"), priors));
    ASSERT_EQ(said.size(), 1U);
    EXPECT_TRUE(said[0].starts_with("3:1: : nobody knows the word leek | write fault KIND WEIGHT"))
        << said[0];
    EXPECT_FALSE(priors);
    EXPECT_EQ(read_priors(path("absent.txt"), priors).errors.size(), 1U);

    std::string none;
    for (std::size_t i = 0; i < model::fault_kinds; ++i)
        none += "fault " + std::string(model::fault_name(static_cast<model::FaultKind>(i))) + " 0\n";
    folder_.write("none.txt", none + "answer as-drawn 0\nanswer two-faults 0\nanswer unexplained 0\n");
    EXPECT_EQ(read_priors(path("none.txt"), priors).errors.at(0).text, "every weight is 0");
    EXPECT_FALSE(priors);
}

}  // namespace
}  // namespace evenhead::io
