// Names of sheets by the rules of ISO/IEC 29500-1 (18.2.19) and those that spreadsheets add: at most 31
// UTF-16 units, none of []:*?/\, no apostrophe at either end, not "History", and no two that differ in case
// only.
#include "io/workbook/sheet_names.hpp"

#include <gtest/gtest.h>

namespace evenhead::io {
namespace {

TEST(SheetNames, AreLegal) {
    SheetNames names;
    EXPECT_EQ(names.give("Run lawn"), "Run lawn");
    EXPECT_EQ(names.give("a[b]:c*?/\\"), "a_b__c____");
    EXPECT_EQ(names.give("'quoted'"), "_quoted_");
    EXPECT_EQ(names.give("John's"), "John's");
    EXPECT_EQ(names.give(""), "run");
    EXPECT_EQ(names.give("hIsTory"), "hIsTory_");
    EXPECT_EQ(names.give("tab\tand \x1b[1m"), "tab_and __1m");
}

TEST(SheetNames, AreCutWhereACharacterEnds) {
    SheetNames names;
    EXPECT_EQ(names.give(std::string(40, 'x')), std::string(31, 'x'));
    // A letter beyond the basic plane takes two of the 31 units.
    std::string drops, kept;
    for (int i = 0; i < 20; ++i) drops += "\xF0\x9F\x92\xA7";
    for (int i = 0; i < 15; ++i) kept += "\xF0\x9F\x92\xA7";
    EXPECT_EQ(names.give(drops), kept);
    // An apostrophe that comes to stand at the end.
    EXPECT_EQ(names.give(std::string(30, 'y') + "'s"), std::string(30, 'y') + "_");
}

TEST(SheetNames, NoTwoAreTheSame) {
    SheetNames names;
    EXPECT_EQ(names.give("Lawn"), "Lawn");
    EXPECT_EQ(names.give("lawn"), "lawn 2");
    EXPECT_EQ(names.give("LAWN"), "LAWN 3");
    EXPECT_EQ(names.give(std::string(31, 'z')), std::string(31, 'z'));
    EXPECT_EQ(names.give(std::string(32, 'Z')), std::string(29, 'Z') + " 2");
    // Capital and small e with an accent: their case is folded by no rule of ours, so they count as one.
    EXPECT_EQ(names.give("\xC3\x89"), "\xC3\x89");
    EXPECT_EQ(names.give("\xC3\xA9"), "\xC3\xA9 2");
}

TEST(SheetNames, AreQuotedInFormulas) {
    EXPECT_EQ(quoted_sheet("Run John's"), "'Run John''s'");
}

}  // namespace
}  // namespace evenhead::io
