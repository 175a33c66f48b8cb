// Many cases: a line each in the order of their names, whatever the threads; one bad case does not stop the
// others. What a line says of a case is compared with what the program says of that case alone.
#include <algorithm>

#include "tests/cli/parks.hpp"

namespace evenhead::cli {
namespace {

TEST_F(ManyTest, ALineEachAndATotal) {
    const Ended ended = evenhead("check parks");
    EXPECT_EQ(ended.status, 2);
    // The same words as of each case alone.
    std::string birch = lines_of(evenhead("check parks/birch/case.toml --wide").output).at(1);
    ASSERT_EQ(birch.rfind("Critical head L4", 0), 0U) << birch;
    birch.front() = 'c';
    birch.pop_back();
    const std::string weak = evenhead("check parks/weak.toml --wide").output;
    const double margin =
        json::parse(evenhead("check parks/weak.toml --format json").output)["critical"]["margin"];
    const std::string oak = first_line(evenhead("check parks/oak/case.toml").errors),
                      twin = evenhead("check parks/twin.TOML --wide").output;
    const auto lines = lines_of(ended.output);
    ASSERT_EQ(lines.size(), 5U);
    EXPECT_EQ(lines[0], "parks/birch/case.toml     6 heads     2 runs  within limits; " + birch);

    const std::string not_read = "parks/oak/case.toml" + std::string(27, ' ') + "not read: ";
    EXPECT_EQ(lines[1].rfind(not_read + oak.substr(0, oak.find(": error: ")), 0), 0U) << lines[1];
    EXPECT_NE(lines[1].find("\"unit\" (and 2 more errors)"), std::string::npos) << lines[1];

    const std::string unsolved =
        "parks/twin.TOML            1 head      1 run  did not balance: 1 of 1 run; run all: ";
    EXPECT_EQ(lines[2].rfind(unsolved, 0), 0U) << lines[2];
    EXPECT_NE(twin.find(lines[2].substr(unsolved.size())), std::string::npos) << lines[2] << twin;

    const std::string outside =
        "parks/weak.toml           6 heads     2 runs  outside limits: 6 findings; critical ";
    EXPECT_NE(weak.find("Findings, worst first (6)"), std::string::npos) << weak;
    EXPECT_EQ(lines[3].rfind(outside, 0), 0U) << lines[3];
    EXPECT_LT(margin, 0);
    EXPECT_NE(lines[3].find("head L4 in run lawn: "), std::string::npos) << lines[3];
    const std::size_t shown = lines[3].find("(margin ");
    ASSERT_NE(shown, std::string::npos) << lines[3];
    EXPECT_NEAR(std::stod(lines[3].substr(shown + 8)), margin, 0.05);

    EXPECT_EQ(lines[4],
              "4 cases, 13 heads, 5 runs: 1 within limits, 1 outside limits, 1 did not balance, 1 not read.");
    // In full, as of that case alone.
    const Ended alone = evenhead("check parks/oak/case.toml");
    const std::string full = alone.errors.substr(0, alone.errors.find("nothing was written"));
    EXPECT_EQ(ended.errors, full + "this case is left out.\n");
}

TEST_F(ManyTest, AnObjectEachThatIsTheSummaryOfThatCaseAlone) {
    const Ended ended = evenhead("check parks --format json");
    EXPECT_EQ(ended.status, 2);
    const auto objects = objects_of(ended.output);
    ASSERT_EQ(objects.size(), all_names.size());
    for (std::size_t i = 0; i < objects.size(); ++i) {
        json object = objects[i];
        EXPECT_EQ(object["case"], all_names[i]);
        if (i == 1) continue;
        json alone =
            json::parse(evenhead("check " + all_names[i] + " --format json --detail summary").output);
        EXPECT_EQ(object["title"], all_names[i] == "parks/twin.TOML" ? json("") : alone["case"]);
        object.erase("title");
        object.erase("case");
        alone.erase("case");
        EXPECT_EQ(object, alone) << all_names[i];
    }
    EXPECT_EQ(
        ended.errors,
        "4 cases, 13 heads, 5 runs: 1 within limits, 1 outside limits, 1 did not balance, 1 not read.\n");
    EXPECT_EQ(evenhead("check parks --format json --quiet").errors, "");
}

TEST_F(ManyTest, ABadCaseIsAnObjectWithItsErrors) {
    folder("tables");
    write("tables/case.toml", "supplies = [ { id = \"street\", static = 60 } ]\npipes = \"pipes.csv\"\n");
    write("tables/pipes.csv", "from,to,length,bore\nstreet,T1,far,1\n");
    const auto objects = objects_of(evenhead("check tables missing.toml parks/oak --format json").output);
    ASSERT_EQ(objects.size(), 3U);
    const json& oak = objects[1];
    EXPECT_EQ(oak["case"], "parks/oak/case.toml");
    EXPECT_EQ(oak["ok"], false);
    ASSERT_GE(oak["errors"].size(), 2U);
    std::string listed;
    for (const json& error : oak["errors"]) {
        EXPECT_EQ(error.size(), 6U);
        EXPECT_TRUE(error["mend"].is_string());
        listed += error["file"].get<std::string>() + ":" + std::to_string(error["line"].get<int>()) + ":" +
                  std::to_string(error["column"].get<int>()) + " " + error["text"].get<std::string>() + "\n";
    }
    // Every error that is told of that case alone, in the same order.
    std::string told;
    for (const std::string& line : lines_of(evenhead("check parks/oak/case.toml").errors))
        if (const std::size_t place = line.find(": error: "); place != std::string::npos)
            told += line.substr(0, place) + "|" + line.substr(place) + "\n";
    std::size_t from = 0;
    for (const json& error : oak["errors"]) {
        const std::string place = error["file"].get<std::string>() + ":" +
                                  std::to_string(error["line"].get<int>()) + ":" +
                                  std::to_string(error["column"].get<int>()) + "|";
        from = told.find(place, from);
        ASSERT_NE(from, std::string::npos) << place << "\n" << told << listed;
        EXPECT_NE(told.find(error["text"].get<std::string>(), from), std::string::npos) << told;
    }
    EXPECT_EQ(std::count(told.begin(), told.end(), '\n'), static_cast<long>(oak["errors"].size()));

    EXPECT_EQ(objects[0]["case"], "missing.toml");
    EXPECT_EQ(objects[0]["errors"][0]["file"], "missing.toml");
    EXPECT_EQ(objects[2]["case"], "tables/case.toml");
    EXPECT_EQ(objects[2]["errors"][0]["file"], "pipes.csv");
    EXPECT_EQ(objects[2]["errors"][0]["line"], 2);
    EXPECT_EQ(objects[2]["errors"][0]["column"], 3);
}

TEST_F(ManyTest, AValueThatIsNotKnownIsAnErrorOfItsCase) {
    std::string text = two_zones();
    text.replace(text.find("static = 60"), 11, "static = \"?\"");
    write("unknown.toml", text);
    const Ended ended = evenhead("check unknown.toml parks/birch --format json");
    EXPECT_EQ(ended.status, 2);
    const auto objects = objects_of(ended.output);
    ASSERT_EQ(objects.size(), 2U);
    EXPECT_EQ(objects[0]["ok"], true);
    EXPECT_EQ(objects[1]["ok"], false);
    EXPECT_NE(objects[1]["errors"][0].dump().find("street"), std::string::npos) << objects[1];
}

// 2, 3, 1, 0: the first that applies over all cases.
TEST_F(ManyTest, TheStatusIsTheFirstThatApplies) {
    const std::string good = "parks/birch ", weak = "parks/weak.toml ", twin = "parks/twin.TOML ",
                      bad = "parks/oak ";
    for (const auto& [cases, status] : {std::pair{good, 0},
                                        {good + weak, 1},
                                        {good + twin, 3},
                                        {good + weak + twin, 3},
                                        {good + bad, 2},
                                        {bad + twin + weak, 2},
                                        {good + "missing.toml", 2}})
        for (const char* format : {"text", "json", "csv"})
            EXPECT_EQ(evenhead("check " + cases + " --format " + format).status, status) << cases << format;
}

TEST_F(ManyTest, TheSameBytesOnAnyNumberOfThreads) {
    for (int i = 0; i < 40; ++i) {
        const std::string wanted = std::to_string(20 + i),
                          name = "many/" + std::to_string(i % 7) + "/" + wanted;
        folder(name);
        write(name + "/case.toml", i % 9 == 8 ? two_zones("oops = 1") : two_zones("", wanted));
    }
    write("many/large.toml", many_zones(30));
    for (const char* how : {"", "--format json", "--format csv", "--format json --detail all", "--quiet"}) {
        const std::string command = std::string("check many parks ") + how + " --threads ";
        const Ended one = evenhead(command + "1");
        EXPECT_EQ(one.status, 2) << how;
        for (const char* threads : {"2", "8", "64"}) {
            const Ended other = evenhead(command + threads);
            EXPECT_EQ(other.status, 2) << how;
            EXPECT_EQ(other.output, one.output) << how << " " << threads;
            EXPECT_EQ(other.errors, one.errors) << how << " " << threads;
        }
    }
}

// A line of megabytes is handed on in pieces; the objects are those of each case alone.
TEST_F(ManyTest, EveryHeadOfEveryRunOfEveryCase) {
    folder("long");
    for (const char* name : {"long/a.toml", "long/b.toml", "long/c.toml"}) write(name, many_zones(60));
    const auto objects = objects_of(evenhead("check long --format json --detail all --threads 3").output);
    ASSERT_EQ(objects.size(), 3U);
    json alone = json::parse(evenhead("check long/a.toml --format json").output);
    EXPECT_GT(alone.dump().size(), std::size_t{5} << 20U);
    alone.erase("case");
    for (json object : objects) {
        object.erase("case");
        object.erase("title");
        EXPECT_TRUE(object == alone);
    }
}

TEST_F(ManyTest, ARowEachInCsv) {
    const Ended ended = evenhead("check parks --format csv");
    EXPECT_EQ(ended.status, 2);
    const auto lines = lines_of(ended.output);
    ASSERT_EQ(lines.size(), 5U);
    EXPECT_EQ(
        lines[0],
        "case,title,ok,verdict,heads,runs,unsolved,findings,warnings,critical_run,critical_head,margin,unit,"
        "errors,text");
    const json birch = json::parse(evenhead("check parks/birch/case.toml --format json").output);
    EXPECT_EQ(lines[1].rfind("parks/birch/case.toml,Two zones,true,within limits,6,2,0,0,0,lawn,L4," +
                                 birch["critical"]["margin"].dump() + ",psi,0,",
                             0),
              0U)
        << lines[1];
    EXPECT_EQ(lines[2].rfind("parks/oak/case.toml,,false,not read,,,,,,,,,,", 0), 0U) << lines[2];
    EXPECT_NE(ended.errors.find("this case is left out"), std::string::npos);
}

// Legal but suspicious is never passed over in silence; the rest is in the answer of the case alone.
TEST_F(ManyTest, WarningsAreCounted) {
    std::string text = two_zones();
    text.insert(text.rfind("]"), "  { along = \"T1 20 T2\", size = \"pvc-sch40 1\" },\n");
    write("dead-end.toml", text);
    EXPECT_NE(evenhead("check dead-end.toml").output.find("Warnings (1)"), std::string::npos);
    const Ended ended = evenhead("check dead-end.toml parks/birch");
    EXPECT_EQ(ended.status, 0);
    const auto lines = lines_of(ended.output);
    ASSERT_EQ(lines.size(), 3U);
    EXPECT_NE(lines[0].find(" psi); 1 warning"), std::string::npos) << lines[0];
    EXPECT_EQ(lines[1].find("warning"), std::string::npos) << lines[1];
}

TEST_F(ManyTest, QuietIsTheTotalAlone) {
    EXPECT_EQ(evenhead("check parks/birch parks/weak.toml --quiet").output,
              "2 cases, 12 heads, 4 runs: 1 within limits, 1 outside limits.\n");
}

TEST_F(ManyTest, ShardsTakeTurns) {
    const auto whole = lines_of(evenhead("check parks --format json").output);
    for (const std::size_t shards : {1U, 2U, 3U, 4U, 5U}) {
        std::vector<std::string> dealt(whole.size());
        for (std::size_t shard = 1; shard <= shards; ++shard) {
            const Ended ended = evenhead("check parks --format json --shard " + std::to_string(shard) + "/" +
                                         std::to_string(shards));
            std::size_t at = shard - 1;
            for (const std::string& line : lines_of(ended.output)) {
                ASSERT_LT(at, dealt.size());
                dealt[at] = line;
                at += shards;
            }
        }
        EXPECT_EQ(dealt, whole) << shards;
    }
    const Ended none = evenhead("check parks --shard 5/5");
    EXPECT_EQ(none.status, 0);
    EXPECT_EQ(none.output, "Shard 5/5: no cases.\n");
    const Ended first = evenhead("check parks --shard 1/5 --quiet");
    EXPECT_EQ(first.status, 0);
    EXPECT_EQ(first.output, "Shard 1/5: 1 case, 6 heads, 2 runs: 1 within limits.\n");
    EXPECT_EQ(evenhead("check parks/weak.toml --shard 1/2 --quiet").output,
              "Shard 1/2: 1 case, 6 heads, 2 runs: 1 outside limits.\n");
}

TEST_F(ManyTest, WhatIsNoShardIsRefused) {
    for (const char* shard :
         {"0/3", "4/3", "1/0", "0/0", "2", "/", "1/", "/3", "1/2/3", "-1/3", "+1/3", "' 1/3'", "1/3x",
          "one/two", "1.0/3", "99999999999999999999/99999999999999999999", "''"})
        expect_refused(std::string("parks --shard ") + shard, "--shard");
    EXPECT_NE(evenhead("check parks --shard 4/3").errors.find("4/3 is no shard; 2/4 is the second of four"),
              std::string::npos);
}

}  // namespace
}  // namespace evenhead::cli
