// The worksheet in its three formats; the numbers are made by hand and add up.
#include "io/write/worksheet.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/io/write_sample.hpp"

namespace evenhead::io {
namespace {

using sample::psi;
using sample::Sample;
using sample::written;
using solver::ElementKind;

solver::Worksheet hand_made(double wanted) {
    const double none = std::nan(""), flow = 3 * sample::gpm;
    solver::Worksheet sheet;
    sheet.run = 0;
    sheet.head = 0;
    sheet.lines = {
        {"static", {ElementKind::supply, 0}, flow, none, none, none, 62 * psi, 62 * psi},
        {"supply", {ElementKind::supply, 0}, flow, none, none, none, -4 * psi, 58 * psi},
        {"meter", {ElementKind::device, 0}, flow, none, none, none, -3 * psi, 55 * psi},
        {"pipe", {ElementKind::pipe, 1}, flow, 0.0254, 30.48, 1.0, -2 * psi, 53 * psi},
        {"elevation", {ElementKind::pipe, 1}, flow, none, none, none, 1 * psi, 54 * psi},
        {"valve", {ElementKind::valve, 0}, flow, none, none, none, -1.5 * psi, 52.5 * psi},
        {"swing-joint", {ElementKind::head, 0}, flow, none, none, none, -0.5 * psi, 52 * psi},
    };
    sheet.pressure = 52 * psi;
    sheet.wanted = wanted;
    sheet.margin = sheet.pressure - wanted;
    return sheet;
}

std::string as_text(double wanted, const Page& page = {}) {
    const Sample sample;
    const Speaker speaker{sample.system, ShownUnits::of_text(sample.system)};
    return written([&](Output& output) {
        write_worksheet_text(output, speaker, hand_made(wanted), {"The critical head of all runs."}, page);
    });
}

TEST(WriteWorksheet, JsonHasExactlyTheFieldsOfTheDescription) {
    const Sample sample;
    const Speaker speaker{sample.system, ShownUnits::of_case(sample.system.units)};
    const auto json = nlohmann::json::parse(
        written([&](Output& output) { write_worksheet_json(output, speaker, hand_made(30 * psi)); }));
    std::vector<std::string> keys, line_keys;
    for (const auto& [key, value] : json.items()) keys.push_back(key);
    for (const auto& [key, value] : json["lines"][0].items()) line_keys.push_back(key);
    EXPECT_EQ(keys, (std::vector<std::string>{"head", "lines", "margin", "pressure", "run", "wanted"}));
    EXPECT_EQ(line_keys, (std::vector<std::string>{"bore", "change", "flow", "item", "length", "pressure",
                                                   "subject", "velocity"}));
    EXPECT_TRUE(json["lines"][0]["bore"].is_null());
    EXPECT_NEAR(json["lines"][3]["bore"], 1, 1e-12);     // in
    EXPECT_NEAR(json["lines"][3]["length"], 100, 1e-9);  // ft
    EXPECT_NEAR(json["lines"][2]["change"], -3, 1e-12);  // lost
    EXPECT_NEAR(json["margin"], 22, 1e-12);
}

TEST(WriteWorksheet, TextKeepsToSixtyColumnsAndSaysTheAnswerFirst) {
    std::stringstream text(as_text(30 * psi));
    std::string first;
    std::getline(text, first);
    EXPECT_EQ(first.rfind("Enough pressure: head L1 in run lawn gets 52.0 psi", 0), 0U) << first;
    for (std::string line; std::getline(text, line);) EXPECT_LE(display_width(line), page_columns) << line;
    EXPECT_EQ(as_text(60 * psi).rfind("Too little pressure:", 0), 0U);
    EXPECT_NE(as_text(std::nan("")).find("no wanted pressure given"), std::string::npos);
}

TEST(WriteWorksheet, GainsHaveASignAndBelongingsAreSetIn) {
    const std::string text = as_text(30 * psi);
    EXPECT_NE(text.find("\nstatic at street"), std::string::npos) << text;
    EXPECT_NE(text.find("+62.00    62.00\n"), std::string::npos) << text;
    EXPECT_NE(text.find("\nmeter-lawn"), std::string::npos) << text;
    EXPECT_NE(text.find("\n  elevation"), std::string::npos) << text;
    EXPECT_NE(text.find("\nswing joint"), std::string::npos) << text;
}

TEST(WriteWorksheet, NoLineIsLeftOutOfASum) {
    Sample sample;
    const Speaker speaker{sample.system, ShownUnits::of_text(sample.system)};
    auto sheet = hand_made(30 * psi);
    for (int i = 0; i < 40; ++i) sheet.lines.insert(sheet.lines.begin() + 3, sheet.lines[3]);
    const std::string text =
        written([&](Output& output) { write_worksheet_text(output, speaker, sheet, {}, {}); });
    EXPECT_EQ(text.find("more (--all)"), std::string::npos);
}

TEST(WriteWorksheet, ShownUnitsAreForTextOnly) {
    Sample sample;
    sample.system.show = {"bar", "L/s"};
    const Speaker shown{sample.system, ShownUnits::of_text(sample.system)};
    const std::string text =
        written([&](Output& output) { write_worksheet_text(output, shown, hand_made(30 * psi), {}, {}); });
    EXPECT_NE(text.find("3.59 bar"), std::string::npos) << text;  // 52 psi = 358527 Pa
    EXPECT_NE(text.find("L/s"), std::string::npos);
}

}  // namespace
}  // namespace evenhead::io
