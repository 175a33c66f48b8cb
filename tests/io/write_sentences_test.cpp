// Findings, failures, issues and steps as sentences.
#include "io/write/sentences.hpp"

#include <gtest/gtest.h>

#include "io/write/finding_list.hpp"
#include "io/write/issues.hpp"
#include "tests/io/write_sample.hpp"

namespace evenhead::io {
namespace {

using sample::psi;
using sample::Sample;
using solver::ElementKind;
using solver::Finding;
using solver::RuleId;

class Sentences : public testing::Test {
  protected:
    Finding finding(RuleId rule, solver::ElementRef subject, double value, double limit,
                    model::Dimension dimension, bool upper = true) const {
        Finding made;
        made.rule = rule;
        made.subject = subject;
        made.value = value;
        made.limit = limit;
        made.dimension = dimension;
        made.upper = upper;
        made.margin = upper ? limit - value : value - limit;
        return made;
    }
    Sample sample_;
    Speaker speaker_{sample_.system, ShownUnits::of_text(sample_.system)};
};

TEST_F(Sentences, EveryRuleHasASentenceAndARemedy) {
    for (const solver::RuleInfo& rule : solver::rule_table()) {
        const auto made =
            finding(rule.id, {ElementKind::head, 0}, 12 * psi, 10 * psi, model::Dimension::pressure);
        const std::string sentence = finding_sentence(speaker_, made, nullptr);
        EXPECT_NE(sentence.find("L1"), std::string::npos) << rule.name << ": " << sentence;
        EXPECT_EQ(sentence.back(), '.') << sentence;
        EXPECT_EQ(finding_remedy(speaker_, made).back(), '.') << rule.name;
        EXPECT_EQ(rule_name(rule.id), rule.name);
    }
}

TEST_F(Sentences, AValueNeverReadsLikeTheLimitItMisses) {
    const auto made =
        finding(RuleId::velocity, {ElementKind::pipe, 0}, 1.524 * 1.0004, 1.524, model::Dimension::velocity);
    EXPECT_EQ(finding_sentence(speaker_, made, nullptr),
              "The water in pipe street-meter runs at 5.002 ft/s; at most 5 ft/s.");
}

TEST_F(Sentences, AVelocitySaysTheBoreThatWouldDo) {
    // The same flow in twice the area: half the velocity. Bore 30 mm x sqrt 2 = 42.4 mm = 1.670 in.
    const auto made =
        finding(RuleId::velocity, {ElementKind::pipe, 0}, 3.048, 1.524, model::Dimension::velocity);
    EXPECT_NE(finding_remedy(speaker_, made).find("1.670 in"), std::string::npos)
        << finding_remedy(speaker_, made);
}

TEST_F(Sentences, ADeviceCalledAfterItsTypeIsSaidOnce) {
    EXPECT_EQ(element_name(sample_.system, {ElementKind::device, 0}), "the meter");
    EXPECT_EQ(element_name(sample_.system, {ElementKind::valve, 0}), "valve lawn");
    EXPECT_EQ(element_name(sample_.system, {ElementKind::run, model::none}), "the system");
}

TEST_F(Sentences, WaterThatFlowsBackIsSaidSo) {
    const auto made = finding(RuleId::data_range, {ElementKind::supply, 0}, -2 * sample::gpm, 0,
                              model::Dimension::flow, false);
    EXPECT_EQ(finding_sentence(speaker_, made, nullptr), "Water flows back into supply street: 2.00 gpm.");
}

TEST_F(Sentences, TheSameOfOneRunIsOneSentenceUnlessAllAreAsked) {
    const auto result = sample_.lawn();
    FindingList list(speaker_);
    for (int head = 0; head < 2; ++head)
        list.add(finding(RuleId::head_pressure, {ElementKind::head, head}, (24 + head) * psi, 30 * psi,
                         model::Dimension::pressure, false),
                 &result);
    EXPECT_EQ(list.size(), 2U);
    const auto merged = list.sentences({});
    ASSERT_EQ(merged.size(), 1U);
    EXPECT_NE(merged[0].find("Head L1 gets 24.0 psi"), std::string::npos) << merged[0];
    EXPECT_NE(merged[0].find("Likewise =SUM(A1)."), std::string::npos) << merged[0];
    EXPECT_EQ(list.sentences({.all = true}).size(), 2U);
}

TEST_F(Sentences, TheSameSubjectInManyRunsIsCountedAndTheWorstIsShown) {
    const auto result = sample_.lawn();
    auto other = result;
    other.run = 1;
    FindingList list(speaker_);
    const solver::ElementRef pipe{ElementKind::pipe, 0};
    list.add(finding(RuleId::velocity, pipe, 1.6, 1.524, model::Dimension::velocity), &result);
    list.add(finding(RuleId::velocity, pipe, 1.9, 1.524, model::Dimension::velocity), &other);
    const auto sentences = list.sentences({});
    ASSERT_EQ(sentences.size(), 1U);
    EXPECT_EQ(sentences[0].rfind("Run beds and 1 more: The water in pipe street-meter runs at 6.2 ft/s", 0),
              0U)
        << sentences[0];
}

TEST(ShownUnits, RoundForReadingAndKeepLimitsAsWritten) {
    const auto us = ShownUnits::of_case(model::UnitSystem::us);
    EXPECT_EQ(us.text(30.04 * psi, model::Dimension::pressure), "30.0 psi");
    EXPECT_EQ(us.limit(30 * psi, model::Dimension::pressure), "30 psi");
    EXPECT_EQ(us.limit(0.2, model::Dimension::share), "20 %");
    EXPECT_EQ(us.number(-1e-9, model::Dimension::pressure), "0.0");
    EXPECT_EQ(us.number(std::nan(""), model::Dimension::pressure), "-");
    EXPECT_EQ(us.text(1.384 * sample::gpm, model::Dimension::flow), "1.38 gpm");
}

TEST(IssuePrinter, MarksThePlaceInTomlByCharacterAndInCsvByField) {
    char folder[] = "/tmp/evenhead-issues-XXXXXX";
    ASSERT_NE(::mkdtemp(folder), nullptr);
    const std::string toml = std::string(folder) + "/case.toml", csv = std::string(folder) + "/heads.csv";
    std::ofstream(toml) << "title = \"Z\xC3\xBCrich\" flw = 3\n";
    std::ofstream(csv) << "\xEF\xBB\xBFid,note,cv\nL1,\"a, b\",x\r\n";
    const std::vector<std::string> files{toml, "heads.csv"};
    IssuePrinter printer(files, toml);
    EXPECT_EQ(printer.text({{0, 1, 18}, "top", "what", "mend"}, "error"),
              toml +
                  ":1:18: error: top: what.\n  mend.\n  1 | title = \"Z\xC3\xBCrich\" flw = 3\n    |         "
                  "         ^\n");
    EXPECT_EQ(printer.text({{1, 2, 3}, "L1", "what", ""}, "error"),
              "heads.csv:2:3: error: L1: what.\n  2 | L1,\"a, b\",x\n    |           ^\n");
    EXPECT_EQ(printer.text({{1, 99, 3}, "", "a\x1b[2Jb", ""}, "warning"),
              "heads.csv:99:3: warning: a?[2Jb.\n");
    ::unlink(toml.c_str());
    ::unlink(csv.c_str());
    ::rmdir(folder);
}

}  // namespace
}  // namespace evenhead::io
