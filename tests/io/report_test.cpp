#include "io/report/report.hpp"

#include <gtest/gtest.h>

#include "io/report/html.hpp"
#include "io/report/sections.hpp"
#include "io/report/worst_first.hpp"
#include "tests/io/write_sample.hpp"

namespace evenhead::io {
namespace {

TEST(Html, TextIsNoMarkup) {
    EXPECT_EQ(html_text("<a href=\"x\">&'"), "&lt;a href=&quot;x&quot;&gt;&amp;&#39;");
    EXPECT_EQ(html_text("a\xE2\x80\xAE"
                        "b\x01"),
              "a?b?");  // U+202E turns the direction of writing
    EXPECT_EQ(html_text("\xC3\xA9"), "\xC3\xA9");
}

TEST(Html, FoldsTheRowsOfALongTable) {
    const auto table = [](std::size_t rows) {
        return sample::written([&](Output& output) {
            Html html(output);
            write_table(
                html, {"t", "Things", {{"Name"}, {"Length", "ft", true}}}, rows,
                [](HtmlRow& row, std::size_t i) { row.begin().head(std::to_string(i)).number("1").end(); });
        });
    };
    EXPECT_NE(table(0).find("Things: none."), std::string::npos);
    EXPECT_EQ(table(rows_shown).find("<details"), std::string::npos);
    const std::string folded = table(rows_shown + 7);
    EXPECT_NE(folded.find("<summary>7 more rows</summary>"), std::string::npos);
    EXPECT_NE(folded.find("<small>ft</small>"), std::string::npos);
    EXPECT_NE(folded.find(">156</th>"), std::string::npos);
}

TEST(WorstFirst, KeepsTheWorstWithinItsBudget) {
    WorstFirst<int> kept(3);
    const double nan = std::nan("");
    const Badness runs[] = {{false, 5, 0}, {true, 2, 1}, {false, nan, 2}, {true, -4, 3}, {false, -1, 4}};
    for (const Badness& run : runs) {
        if (kept.takes(run))
            kept.add(run, run.run, 1);
        else
            kept.pass_over();
    }
    std::vector<int> order;
    for (const auto& [badness, value] : kept.kept()) order.push_back(value.first);
    EXPECT_EQ(order, (std::vector<int>{3, 1, 4}));
    EXPECT_EQ(kept.dropped(), 2U);
}

// FIPS 180-2: the SHA-256 of anything is 32 bytes; RFC 4648: 32 bytes are 43 characters of base64 and one
// "=".
TEST(Page, NamesItsScriptByItsHash) {
    const std::string hash = page_script_hash();
    EXPECT_EQ(hash.size(), 44U);
    EXPECT_EQ(hash.back(), '=');
    EXPECT_EQ(hash.find('='), 43U);
}

std::string report(const sample::Sample& garden) {
    return sample::written([&](Output& output) {
        const auto page = report_page(output, garden.subject());
        page->add(garden.beds(), {});
        auto summary = garden.summary();
        summary.solved = false;
        summary.critical_run = summary.critical_head = model::none;
        page->finish(summary, nullptr);
    });
}

TEST(Report, SaysWhyThereIsNoSolution) {
    sample::Sample garden;
    garden.layout = model::find_layout(garden.system);
    const std::string text = report(garden);
    EXPECT_NE(text.find(">Not solved</h2>"), std::string::npos);
    EXPECT_NE(text.find("Run beds has no proven solution. No open way leads"), std::string::npos);
    EXPECT_NE(text.find("Irrigation, not fire protection."), std::string::npos);
    EXPECT_NE(text.find("Corner &quot;garden&quot;"), std::string::npos);
    EXPECT_EQ(text.find("garden.toml:"), std::string::npos);
}

}  // namespace
}  // namespace evenhead::io
