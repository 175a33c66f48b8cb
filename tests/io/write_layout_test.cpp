#include "io/write/layout.hpp"

#include <gtest/gtest.h>

namespace evenhead::io {
namespace {

// Widths: Unicode Standard Annex 11 (East Asian Width).
TEST(Layout, WidthFollowsUnicode) {
    EXPECT_EQ(display_width("abc"), 3);
    EXPECT_EQ(display_width("Zürich"), 6);
    EXPECT_EQ(display_width("e\xCC\x81"), 1);     // e and a combining acute
    EXPECT_EQ(display_width("\xE6\xB0\xB4"), 2);  // U+6C34
    EXPECT_EQ(display_width("\xFF"), 1);          // no UTF-8 at all
}

TEST(Layout, ControlCharactersNeverReachATerminal) {
    EXPECT_EQ(printable("a\x1b[31mb\n\x07"), "a?[31mb??");
    EXPECT_EQ(printable("\xC2\x9B"), "?");                    // C1 control sequence introducer
    EXPECT_EQ(printable("a\u202Eb\u2066\uFEFFc"), "a?b??c");  // they turn or hide what comes after
    EXPECT_EQ(printable("\xFF\xFEs\xC3"), "??s?");            // no UTF-8
    EXPECT_EQ(printable("\xE4r\xF0\x9F"), "?r??");
    EXPECT_EQ(printable("äöü 水 \u200D"), "äöü 水 \u200D");
}

TEST(Layout, ParagraphsWrapAtBlanks) {
    EXPECT_EQ(paragraph("one two three", 9, "- "), "- one two\n  three\n");
    EXPECT_EQ(paragraph("a-word-that-is-too-long here", 8), "a-word-that-is-too-long\nhere\n");
    EXPECT_EQ(paragraph("", 8), "\n");
    EXPECT_EQ(paragraph("at most 20 %; then", 10), "at most\n20 %; then\n");  // a number keeps its unit
}

TEST(Layout, TablesSayHowManyRowsAreLeftOut) {
    TextTable table({{"Run", "", 4}, {"Flow", "gpm", 5}});
    for (int i = 0; i < 33; ++i) table.add({"r" + std::to_string(i), "1.0"});
    const std::string text = table.text({});
    EXPECT_NE(text.find("r19 "), std::string::npos);
    EXPECT_EQ(text.find("r20 "), std::string::npos);
    EXPECT_NE(text.find("and 13 more (--all)\n"), std::string::npos);
    EXPECT_NE(table.text({.all = true}).find("r32 "), std::string::npos);
}

TEST(Layout, ALongNameTakesALineOfItsOwn) {
    TextTable table({{"Run", "", 8}, {"Flow", "gpm", 6}});
    table.add({std::string(64, 'x'), "1.0"});
    const std::string text = table.text({});
    EXPECT_NE(text.find(std::string(64, 'x') + "\n"), std::string::npos) << text;
}

TEST(Layout, ColourOnlyWhereThePageHasIt) {
    EXPECT_EQ(coloured("good", Colour::good, {}), "good");
    EXPECT_EQ(coloured("good", Colour::good, {.colour = true}), "\x1b[32mgood\x1b[0m");
}

}  // namespace
}  // namespace evenhead::io
