// The catalogue as printed. Its figures against the standards: tests/validation/catalogue.
#include "io/write/kinds.hpp"

#include <gtest/gtest.h>

#include <sys/wait.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>
#include <utility>
#include <vector>

namespace evenhead::io {
namespace {

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream stream(text);
    for (std::string line; std::getline(stream, line);) lines.push_back(line);
    return lines;
}

/// The lines of a CSV text by their first two cells.
std::map<std::string, std::string> by_size(const std::string& text) {
    std::map<std::string, std::string> rows;
    for (const std::string& line : lines_of(text))
        rows[line.substr(0, line.find(',', line.find(',') + 1))] = line;
    return rows;
}

TEST(Kinds, FitSixtyColumns) {
    const Page page;
    std::string all = kinds_text(page);
    for (const model::PipeKind& kind : model::pipe_kinds()) all += kind_text(kind, page);
    for (const std::string& line : lines_of(all)) EXPECT_LE(display_width(line), page_columns) << line;
}

TEST(Kinds, ListEveryKindOnALine) {
    const auto lines = lines_of(kinds_text(Page{}));
    for (const model::PipeKind& kind : model::pipe_kinds()) {
        std::size_t found = 0;
        for (const std::string& line : lines)
            if (line.starts_with(kind.name + " ") && line.find(kind.standard) != std::string::npos) ++found;
        EXPECT_EQ(found, 1U) << kind.name;
    }
    EXPECT_EQ(lines_of(kinds_csv()).size(), model::pipe_kinds().size() + 1);
    EXPECT_NE(kinds_csv().find("hdpe-dr11,\"ASTM F714, D3035\",PE,140,1/2,12,in\n"), std::string::npos);
}

// ASTM D2241, SDR 21: 1-1/4 in is 1.660 in outside, 0.079 in wall, so 1.502 in bore; 200 psi. Factor 0.62 at
// 100 degF by Machinery's Handbook, 31st edition, page 2770.
TEST(Kinds, PrintAKindWithItsUnits) {
    const std::string text = kind_text(*model::find_kind("pvc-cl200"), Page{});
    EXPECT_TRUE(text.starts_with("pvc-cl200: PVC pipe, ASTM D2241\n"));
    EXPECT_NE(
        text.find(
            "\nsize     outside     wall     bore   rating\nin            in       in       in      psi\n"),
        std::string::npos);
    EXPECT_NE(text.find("\n1-1/4      1.660    0.079    1.502      200\n"), std::string::npos);
    EXPECT_NE(text.find("0.62 at\n            100 degF"), std::string::npos)
        << text;  // a number keeps its unit
    EXPECT_NE(text.find("400,000 psi"), std::string::npos);
    Page wide;
    wide.wide = true;
    const std::string metric = kind_text(*model::find_kind("pe100-sdr11"), wide);
    EXPECT_NE(metric.find("\n32          32.0      3.0     26.0       16\n"), std::string::npos);
    EXPECT_NE(metric.find("0.87 at 30 degC"), std::string::npos);
    const std::string copper = kind_text(*model::find_kind("copper-l"), Page{});
    EXPECT_NE(copper.find("not rated here"), std::string::npos);
    EXPECT_EQ(copper.find("Warm water"), std::string::npos);
}

TEST(Kinds, WriteCsvAsTheStandardsPrint) {
    std::ifstream file(EVENHEAD_SOURCE_DIR "/tests/validation/catalogue/expected.csv");
    std::stringstream expected;
    expected << file.rdbuf();
    const auto wanted = by_size(expected.str());
    ASSERT_EQ(wanted.size(), 176U);  // with the header
    std::map<std::string, std::string> written;
    for (const model::PipeKind& kind : model::pipe_kinds()) written.merge(by_size(kind_csv(kind)));
    EXPECT_EQ(written.at("kind,nominal"), wanted.at("kind,nominal"));
    EXPECT_EQ(written.at("pvc-sch40,1-1/4"), "pvc-sch40,1-1/4,in,1.66,0.14,1.38,psi,370");
    EXPECT_EQ(written.at("pe100-sdr17,63"), "pe100-sdr17,63,mm,63,3.8,55.4,bar,10");
    EXPECT_EQ(written.at("copper-m,1"), "copper-m,1,in,1.125,0.035,1.055,,");
    for (const auto& [key, line] : wanted) EXPECT_EQ(written.count(key), 1U) << line;
}

TEST(Kinds, WriteJsonThatReadsBack) {
    const auto all = nlohmann::json::parse(kinds_json());
    EXPECT_EQ(all.at("schema"), 1);
    ASSERT_EQ(all.at("kinds").size(), model::pipe_kinds().size());
    for (std::size_t i = 0; i < model::pipe_kinds().size(); ++i) {
        auto one = nlohmann::json::parse(kind_json(model::pipe_kinds()[i]));
        EXPECT_EQ(one.at("schema"), 1);
        one.erase("schema");
        EXPECT_EQ(one, all.at("kinds")[i]);
    }
    const auto copper = nlohmann::json::parse(kind_json(*model::find_kind("copper-k")));
    EXPECT_EQ(copper.at("sizes")[2].at("bore"), 0.995);
    EXPECT_TRUE(copper.at("sizes")[2].at("rating").is_null());
    EXPECT_TRUE(copper.at("rating_rule").is_null());
    EXPECT_TRUE(copper.at("rating_factors").empty());
    const auto plastic = nlohmann::json::parse(kind_json(*model::find_kind("pe-sidr15")));
    EXPECT_EQ(plastic.at("sizes")[2].at("bore"), 1.049);  // ASTM D2239: the listed inside diameter
    EXPECT_EQ(plastic.at("sizes")[2].at("rating"), 100);
    EXPECT_EQ(plastic.at("units").at("length"), "in");
}

/// Exit status of the program and what it prints, standard error included.
std::pair<int, std::string> run_program(const std::string& arguments) {
    const std::string command = std::string(EVENHEAD_BINARY) + " " + arguments + " 2>&1";
    FILE* pipe = popen(command.c_str(), "r");
    if (pipe == nullptr) return {-1, "cannot start " + command};
    std::string text;
    for (int letter = std::fgetc(pipe); letter != EOF; letter = std::fgetc(pipe))
        text += static_cast<char>(letter);
    return {WEXITSTATUS(pclose(pipe)), text};
}

TEST(Kinds, AreAVerbOfTheProgram) {
    EXPECT_EQ(run_program("kinds"), std::pair(0, kinds_text(Page{})));
    EXPECT_EQ(run_program("kinds copper-m"), std::pair(0, kind_text(*model::find_kind("copper-m"), Page{})));
    EXPECT_EQ(run_program("kinds hdpe-dr17 --format csv"),
              std::pair(0, kind_csv(*model::find_kind("hdpe-dr17"))));
    EXPECT_EQ(run_program("kinds hdpe-dr17 --format json"),
              std::pair(0, kind_json(*model::find_kind("hdpe-dr17"))));
}

TEST(Kinds, NameTheNearestOfAnUnknownKind) {
    const auto [status, text] = run_program("kinds pvc-cl20");
    EXPECT_EQ(status, 2);
    EXPECT_NE(text.find("pvc-cl200"), std::string::npos) << text;
    EXPECT_EQ(run_program("kinds '\n'").first, 2);
    EXPECT_EQ(run_program("kinds pvc-cl200 --format xml").first, 2);
}

// The program's own answer against a general-purpose library of pipe dimensions.
TEST(Kinds, AgreeWithALibraryOfPipeDimensions) {
    const std::string command =
        "/usr/bin/python3 " EVENHEAD_SOURCE_DIR "/tests/validation/catalogue/compare.py " EVENHEAD_BINARY;
    EXPECT_EQ(std::system(command.c_str()), 0);
}

}  // namespace
}  // namespace evenhead::io
