// `evenhead together` and `evenhead timetable` as a shell sees them.
#include <nlohmann/json.hpp>

#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

using nlohmann::json;

/// Two valves with a head each; with `window` and rows of watering.
std::string two_valves(const std::string& window, const std::string& rows, int safe = 10) {
    return "ground = 0\nsupplies = [ { id = \"street\", static = 60 } ]\n"
           "devices = [ { id = \"meter\", type = \"meter\", flow = 10, loss = 1, safe_flow = " +
           std::to_string(safe) +
           " } ]\n"
           "valves = [ { id = \"a\", cv = 10 }, { id = \"b\", cv = 10 } ]\n"
           "nozzles = [ { id = \"n\", pressure = 50, flow = 4, min = 20, max = 70 } ]\n"
           "heads = [ { id = \"A\", nozzle = \"n\" }, { id = \"B\", nozzle = \"n\" } ]\n"
           "pipes = [ { along = \"street 5 meter 5 T 5 a 5 A\", size = \"pvc-sch40 1-1/4\" },\n"
           "  { along = \"T 5 b 5 B\", size = \"pvc-sch40 1-1/4\" } ]\n" +
           window + "watering = [\n" + rows + "]\n";
}

const std::string night = "window = { from = \"23:30\", to = \"01:00\" }\n";
const std::string rows =
    "  { valve = \"a\", need = 1.75, rate = 0.5, days = [\"mon\", \"thu\", \"fri\"] },\n"
    "  { valve = \"b\", need = 1.75, rate = 0.5, days = [\"mon\", \"thu\", \"fri\"] },\n";

using TimetableTest = ProgramTest;

// The meter may pass three quarters of its safe flow, and a head takes some 4.3 gpm: two fit 20 gpm, not 10.
TEST_F(TimetableTest, TogetherWhereTheMeterAllows) {
    write("two.toml", two_valves(night, rows, 20));
    write("one.toml", two_valves(night, rows, 10));
    const Ended two = evenhead("together two.toml");
    EXPECT_EQ(two.status, 0) << two.errors;
    EXPECT_EQ(two.output.find("Up to 2 valves may be open at once within limits, such as a\nand b."), 0U)
        << two.output;
    const Ended one = evenhead("together one.toml --format json");
    EXPECT_EQ(one.status, 0) << one.errors;
    const json all = json::parse(one.output);
    EXPECT_EQ(all["sets"], json::parse(R"([["a"], ["b"]])"));
    EXPECT_EQ(all["largest"], 1);
    ASSERT_EQ(all["blocked"].size(), 1U);
    EXPECT_EQ(all["blocked"][0]["valves"], json::parse(R"(["a", "b"])"));
    EXPECT_EQ(all["blocked"][0]["findings"][0]["rule"], "meter-flow");
    const Ended csv = evenhead("together one.toml --format csv --table branches");
    EXPECT_EQ(csv.output.find("pipe,flow,velocity,valves\nstreet-meter,"), 0U) << csv.output;
}

TEST_F(TimetableTest, TogetherSaysWhoMayNeverRun) {
    write("none.toml", two_valves(night, rows, 5));
    const Ended none = evenhead("together none.toml");
    EXPECT_EQ(none.status, 1) << none.errors;
    EXPECT_NE(none.output.find("No valve may be open"), std::string::npos) << none.output;
    const Ended no_night = evenhead("timetable none.toml --format json");
    EXPECT_EQ(no_night.status, 1) << no_night.errors;
    EXPECT_EQ(json::parse(no_night.output)["never"], json::parse(R"(["a", "b"])"));
    EXPECT_EQ(evenhead("timetable none.toml -o night.ics").status, 2);
    EXPECT_FALSE(exists("night.ics"));
}

// 1.75 in in three nights at 0.5 in/h: 70 min each; nothing is known of evenness, so that is all.
TEST_F(TimetableTest, ANightThatFitsAndOneThatDoesNot) {
    write("two.toml", two_valves(night, rows, 20));
    write("one.toml", two_valves(night, rows, 10));
    const Ended two = evenhead("timetable two.toml --format json");
    EXPECT_EQ(two.status, 0) << two.errors;
    const json fits = json::parse(two.output);
    EXPECT_EQ(fits["start"], 1410);
    EXPECT_EQ(fits["end"], 1480);
    EXPECT_EQ(fits["bound"], 70);
    EXPECT_EQ(fits["gap"], 0.0);
    ASSERT_EQ(fits["runs"].size(), 1U);
    EXPECT_EQ(fits["runs"][0]["valves"], json::parse(R"(["a", "b"])"));
    EXPECT_EQ(fits["days"], json::parse(R"(["mon", "thu", "fri"])"));
    const Ended one = evenhead("timetable one.toml");
    EXPECT_EQ(one.status, 1) << one.errors;
    EXPECT_EQ(
        one.output.find("The night takes 2 h 20 min, 23:30 to 01:50: 50 min more than\nthe window (23:30 "
                              "to 01:00) has."),
        0U)
        << one.output;
    EXPECT_NE(one.output.find("open it 50 min earlier"), std::string::npos);
}

// What comes after midnight is on the day after.
TEST_F(TimetableTest, TheCalendarKnowsMidnight) {
    write("one.toml", two_valves(night, rows, 10));
    const Ended written = evenhead("timetable one.toml --quiet -o night.ics");
    EXPECT_EQ(written.status, 1) << written.errors;
    const std::string calendar = content("night.ics");
    EXPECT_EQ(calendar.find("BEGIN:VCALENDAR\r\nVERSION:2.0\r\n"), 0U);
    EXPECT_NE(
        calendar.find("DTSTART:20240101T233000\r\nDTEND:20240102T004000\r\nRRULE:FREQ=WEEKLY;BYDAY=MO,TH,"
                      "FR\r\n"),
        std::string::npos)
        << calendar;
    EXPECT_NE(
        calendar.find("DTSTART:20240102T004000\r\nDTEND:20240102T015000\r\nRRULE:FREQ=WEEKLY;BYDAY=TU,FR,"
                      "SA\r\n"),
        std::string::npos)
        << calendar;
}

TEST_F(TimetableTest, MultipliersAreSaid) {
    const std::string even = "  { valve = \"a\", need = 1, rate = 0.5, du_lq = 77.2, days = 1 },\n";
    write("a.toml", two_valves(night, even, 20));
    const auto minutes = [&](const std::string& option) {
        const Ended ended = evenhead("timetable a.toml --format json " + option);
        return json::parse(ended.output)["zones"][0]["minutes"].get<int>();
    };
    EXPECT_EQ(minutes(""), 140);                          // 120 x 1.15848 = 139.02
    EXPECT_EQ(minutes("--multiplier low-quarter"), 156);  // 120 / 0.772 = 155.4
    EXPECT_EQ(minutes("--multiplier none"), 120);
    EXPECT_EQ(minutes("--multiplier 1.2"), 144);
    const Ended wrong = evenhead("timetable a.toml --multiplier much");
    EXPECT_EQ(wrong.status, 2);
    EXPECT_NE(wrong.errors.find("--multiplier much: write low-half, low-quarter, none, or a number"),
              std::string::npos);
}

}  // namespace
}  // namespace evenhead::cli
