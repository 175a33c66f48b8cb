// `evenhead takeoff` as a shell sees it. What the counts are is tests/io/takeoff_test.cpp and tests/takeoff.
#include <nlohmann/json.hpp>

#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

class TakeoffTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        write("case.toml", two_zones());
    }
    nlohmann::json takeoff(const std::string& options = "") const {
        const Ended ended = evenhead("takeoff case.toml --format json " + options);
        EXPECT_EQ(ended.status, 0) << ended.errors;
        return nlohmann::json::parse(ended.output);
    }
    static nlohmann::json line(const nlohmann::json& of, const std::string& item) {
        for (const auto& line : of["lines"])
            if (line["item"] == item) return line;
        return nullptr;
    }
};

TEST_F(TakeoffTest, WritesTextTablesAndAWorkbook) {
    const Ended text = evenhead("takeoff case.toml");
    EXPECT_EQ(text.status, 0);
    EXPECT_NE(text.output.find("of pipe in"), std::string::npos);
    EXPECT_NE(text.output.find("\nAssumed\n"), std::string::npos);
    EXPECT_NE(text.output.find("invented"), std::string::npos);
    const Ended csv = evenhead("takeoff case.toml --format csv");
    EXPECT_EQ(csv.output.find("section,item,name,family,size,of,quantity,unit,waste,piece,ordered,price,"),
              0U);
    EXPECT_EQ(evenhead("takeoff case.toml -o book.xlsx").status, 0);
    EXPECT_EQ(content("book.xlsx").substr(0, 2), "PK");
}

TEST_F(TakeoffTest, OptionsChangeWhatIsAssumed) {
    EXPECT_EQ(line(takeoff(), "pipe")["waste"], 5);
    EXPECT_EQ(line(takeoff("--waste 8"), "pipe")["waste"], 8);
    EXPECT_TRUE(line(takeoff("--belled"), "coupling").is_null());
    EXPECT_EQ(takeoff("--controller '3 4'")["controller"]["from"], "asked");
    EXPECT_EQ(takeoff()["controller"]["from"], "supply");
}

TEST_F(TakeoffTest, ATableOfItsOwnTakesThePlaceOfTheShippedRows) {
    write("table.txt",
          "pipe pvc-* any pvc 10 ft length bell 22.5\nprice nozzle 3 0\ntrench lateral 8 in 200 mm\n");
    const auto told = takeoff("--table table.txt");
    EXPECT_EQ(line(told, "pipe")["piece"], 10);
    EXPECT_EQ(line(told, "nozzle")["price"], 3);
    EXPECT_NEAR(line(told, "lateral-trench")["depth"].get<double>(), 8, 1e-9);
    write("wrong.txt", "waste pipe 5 %\nprice teapot 3 0\n");
    const Ended refused = evenhead("takeoff case.toml --table wrong.txt");
    EXPECT_EQ(refused.status, 2);
    EXPECT_NE(refused.errors.find("wrong.txt:2:1: error: nobody knows the item teapot"), std::string::npos)
        << refused.errors;
}

TEST_F(TakeoffTest, ElementsStandBehindEveryCount) {
    const Ended text = evenhead("takeoff case.toml --elements --all");
    EXPECT_NE(text.output.find("- zone valve "), std::string::npos);
    EXPECT_NE(text.output.find("lawn, beds"), std::string::npos) << text.output;
}

}  // namespace
}  // namespace evenhead::cli
