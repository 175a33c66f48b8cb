// Watering and window as read: depths, days, times of day. What is refused lies in tests/bad/watering.
#include "io/week.hpp"
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

model::WateringPlan plan_of(const std::string& rows) {
    CaseReading reading = read_text(sound_start + rows);
    EXPECT_TRUE(reading.errors.empty()) << in_words(reading.errors, reading).front();
    return std::move(reading.watering);
}

TEST(CaseWatering, NeedsAndSoils) {
    const auto plan = plan_of(
        "watering = [ { valve = \"lawn\", eto = 1.5, coefficient = 0.8, intake = 0.4, storage = \"5 mm\", "
        "rate = 1.2, du_lq = 70, days = 3, group = \"grass\" } ]\n");
    ASSERT_EQ(plan.rows.size(), 1U);
    const model::Watering& row = plan.rows[0];
    EXPECT_EQ(row.valve, 0);
    EXPECT_DOUBLE_EQ(row.need, 1.5 * 0.8 * 0.0254);
    EXPECT_DOUBLE_EQ(row.intake->value, 0.4 * 0.0254 / 3600);
    EXPECT_DOUBLE_EQ(row.storage->value, 0.005);
    EXPECT_DOUBLE_EQ(row.rate->value, 1.2 * 0.0254 / 3600);
    EXPECT_DOUBLE_EQ(row.du_lq->value, 0.7);
    EXPECT_EQ(row.times, 3);
    EXPECT_EQ(row.days, 0U);
    EXPECT_EQ(row.group, "grass");
    EXPECT_FALSE(plan.window.has_value());
}

TEST(CaseWatering, DaysByName) {
    const auto plan =
        plan_of("watering = [ { valve = \"lawn\", need = \"1 in\", days = [\"Mon\", \"sunday\"] } ]\n");
    EXPECT_EQ(plan.rows[0].days, 0b1000001U);
    EXPECT_DOUBLE_EQ(plan.rows[0].need, 0.0254);
    EXPECT_EQ(plan_of("watering = [ { valve = \"lawn\", need = 1, days = \"tue sat\" } ]\n").rows[0].days,
              0b0100010U);
    EXPECT_EQ(plan_of("watering = [ { valve = \"lawn\", need = 1, days = \"2\" } ]\n").rows[0].times, 2);
}

TEST(CaseWatering, WindowsPassMidnight) {
    const auto plan = plan_of("window = { from = \"22:00\", to = \"06:30\", days = [\"wed\"] }\n");
    EXPECT_EQ(plan.window->from, 22 * 60);
    EXPECT_EQ(plan.window->length, 8 * 60 + 30);
    EXPECT_EQ(plan.window->days, 0b0000100U);
    const auto whole = plan_of("window = { from = 00:00:00, to = \"24:00\" }\n");  // a local time of TOML
    EXPECT_EQ(whole.window->from, 0);
    EXPECT_EQ(whole.window->length, 1440);
    EXPECT_EQ(whole.window->days, model::every_day);
}

TEST(Week, WordsThereAndBack) {
    EXPECT_EQ(time_of_day("7:05"), 425);
    for (const char* wrong : {"", "7", "7:5", "24:01", "07:60", "07:00:30", "-1:00", "7:005", "a:00"})
        EXPECT_FALSE(time_of_day(wrong).has_value()) << wrong;
    EXPECT_EQ(clock_words(26 * 60 + 5), "02:05");
    EXPECT_EQ(days_words(0b0010101), "mon wed fri");
    EXPECT_EQ(days_words(model::every_day), "every day");
    EXPECT_EQ(duration_words(425), "7 h 05 min");
    EXPECT_EQ(duration_words(45), "45 min");
    EXPECT_EQ(weekday_of("THU"), 3);
    EXPECT_FALSE(weekday_of("thur").has_value());
}

}  // namespace
}  // namespace evenhead::io
