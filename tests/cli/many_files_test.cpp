// Many cases by their folders and names, and where the list of them goes: a file, a pipe, a terminal.
#include <sys/stat.h>

#include <csignal>

#include "tests/cli/parks.hpp"

namespace evenhead::cli {
namespace {

TEST_F(ManyTest, WhatAFolderStandsFor) {
    EXPECT_EQ(names_in("parks"), all_names);
    EXPECT_EQ(names_in("parks/"), all_names);
    EXPECT_EQ(names_in("parks/weak.toml parks/twin.TOML parks/oak parks/birch/case.toml"), all_names);
    EXPECT_EQ(names_in("."), all_names);
    EXPECT_EQ(names_in("parks/birch"), std::vector<std::string>{"parks/birch/case.toml"});
    const Ended inside = shell("cd parks/birch && '" EVENHEAD_BINARY "' check . --quiet");
    EXPECT_EQ(inside.output, "1 case, 6 heads, 2 runs: 1 within limits.\n");
    // Named by itself it is a case, whatever it holds.
    EXPECT_EQ(evenhead("check parks/birch/readings.toml parks/weak.toml").status, 2);
    EXPECT_EQ(names_in("parks/birch/readings.toml parks/weak.toml").size(), 2U);
    // A case may begin with its readings.
    write("parks/birch/first.toml", "readings = []\n" + two_zones());
    EXPECT_EQ(names_in("parks/birch"),
              (std::vector<std::string>{"parks/birch/case.toml", "parks/birch/first.toml"}));
}

TEST_F(ManyTest, LinksAreFollowedAndTakenOnce) {
    folder("links");
    std::filesystem::create_directory_symlink("../parks", folder_ / "links/parks");
    std::filesystem::create_directory_symlink("..", folder_ / "parks/round");
    std::filesystem::create_symlink("weak.toml", folder_ / "parks/zz.toml");
    EXPECT_EQ(names_in("links").size(), 4U);
    EXPECT_EQ(names_in("parks"), all_names);
    std::filesystem::create_symlink("nowhere.toml", folder_ / "parks/gone.toml");
    EXPECT_EQ(names_in("parks").size(), 5U);  // not silently left out
}

TEST_F(ManyTest, ListsThatMakeNoSenseAreRefused) {
    folder("empty/inside");
    write("empty/notes.txt", "");
    expect_refused("empty", "empty: no case lies in this folder; a case is a file whose name ends in .toml");
    expect_refused("parks empty", "empty: no case lies in this folder");
    expect_refused("parks/weak.toml ./parks/weak.toml", "is named twice, by parks/weak.toml and by ./parks");
    expect_refused("parks/weak.toml parks",
                   "parks/weak.toml is named twice, by parks/weak.toml and by parks");
    expect_refused("parks parks/../parks", "is named twice");
    expect_refused("parks --run lawn", "--run picks a run of one case");
    expect_refused("parks/weak.toml --shard 1/2 --run lawn", "--run picks a run of one case");
    expect_refused("parks --verbose", "--verbose follows the balance of one case");
    expect_refused("parks --format csv --table heads", "--table picks a table of one case");
    expect_refused("parks --detail all", "--detail all of many cases is for --format json alone");
    expect_refused("parks --format csv --detail running", "is for --format json alone");
}

TEST_F(ManyTest, AFolderThatCannotBeReadIsABadCase) {
    const std::string program = as_anybody();
    folder("parks/closed");
    ::chmod((folder_ / "parks/closed").c_str(), 0);
    const Ended ended = shell(program + " check parks --format json");
    ::chmod((folder_ / "parks/closed").c_str(), 0755);  // to be removed
    EXPECT_EQ(ended.status, 2);
    const auto objects = objects_of(ended.output);
    ASSERT_EQ(objects.size(), 5U);
    EXPECT_EQ(objects[1]["case"], "parks/closed");
    EXPECT_EQ(objects[1]["errors"][0]["text"], "this folder cannot be looked into: Permission denied");
    EXPECT_EQ(objects[0]["ok"], true);
}

TEST_F(ManyTest, ANameWithALineBreakStaysOnItsLine) {
    write("parks/a\n\x1b[2Jb\".toml", two_zones());
    const Ended text = evenhead("check parks");
    EXPECT_EQ(lines_of(text.output).size(), 6U);
    EXPECT_EQ(text.output.rfind("parks/a??[2Jb\".toml", 0), 0U) << text.output;
    EXPECT_EQ(names_in("parks")[0], "parks/a\n\x1b[2Jb\".toml");
}

TEST_F(ManyTest, TheResultIsWrittenWholeOrNotAtAll) {
    write("result", "old");
    EXPECT_EQ(evenhead("check parks -o result").status, 2);  // a bad case is part of the result
    EXPECT_EQ(content("result"), evenhead("check parks").output);
    write("result", "old");
    const Ended full = shell("ulimit -f 1; evenhead check parks --format json -o result");
    EXPECT_EQ(full.status, 2);
    EXPECT_EQ(content("result"), "old");
    EXPECT_EQ(evenhead("check parks > /dev/full").status, 2);
    const std::string weak = content("parks/weak.toml");
    const Ended over = evenhead("check parks -o parks/weak.toml");
    EXPECT_EQ(over.status, 2);
    EXPECT_NE(over.errors.find("--output parks/weak.toml is a file of the case itself"), std::string::npos);
    EXPECT_EQ(content("parks/weak.toml"), weak);
    // A table of a case is known once that case is read.
    write("parks/birch/case.toml", two_zones("points = \"points.csv\""));
    write("parks/birch/points.csv", "id,elev\nT1,100\n");
    EXPECT_EQ(evenhead("check parks -o parks/birch/points.csv").status, 2);
    EXPECT_EQ(content("parks/birch/points.csv"), "id,elev\nT1,100\n");
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder_))
        EXPECT_EQ(entry.path().filename().string().find(".evenhead"), std::string::npos) << entry.path();
}

TEST_F(ManyTest, AReaderThatHasSeenEnoughIsNoNews) {
    folder("many");
    for (int i = 0; i < 30; ++i) write("many/" + std::to_string(i) + ".toml", many_zones(12));
    for (const char* how : {"", "--format json", "--format json --detail all"}) {
        const Ended ended = shell(std::string("evenhead check many ") + how +
                                  " 2> errors | head -1 > first; echo ${PIPESTATUS[0]}");
        EXPECT_EQ(ended.output, "2\n") << how;
        EXPECT_EQ(content("errors"), "") << how;
        EXPECT_EQ(lines_of(content("first")).size(), 1U) << how;
    }
}

TEST_F(ManyTest, AnInterruptLeavesTheOldFile) {
    folder("many");
    for (int i = 0; i < 300; ++i) write("many/" + std::to_string(i) + ".toml", many_zones(60));
    write("result", "old");
    const Ended ended =
        shell("set -m; '" EVENHEAD_BINARY
              "' check many --format json -o result & program=$!; for i in {1..3000}; do "
              "for part in .evenhead-*; do [ -s \"$part\" ] && break 2; done; sleep 0.01; done; kill -INT "
              "$program; wait $program");
    EXPECT_EQ(ended.status, 128 + SIGINT);
    EXPECT_NE(ended.errors.find("evenhead: interrupted. Nothing was written"), std::string::npos)
        << ended.errors;
    EXPECT_EQ(content("result"), "old");
    for (const auto& entry : std::filesystem::directory_iterator(folder_))
        EXPECT_EQ(entry.path().filename().string().find(".evenhead"), std::string::npos) << entry.path();
}

TEST_F(ManyTest, AnInterruptTakesTheProgressAway) {
    folder("many");
    for (int i = 0; i < 300; ++i) write("many/" + std::to_string(i) + ".toml", many_zones(60));
    write("run.sh", "'" EVENHEAD_BINARY
                    "' check many > lines & program=$!\n"
                    "for i in {1..3000}; do grep -q ' of 300 cases' screen && break; sleep 0.01; done\n"
                    "kill -TERM $program\nwait $program\n");
    const Ended ended = shell("TERM=xterm script -qefc 'bash run.sh' screen < /dev/null > /dev/null");
    EXPECT_EQ(ended.status, 128 + SIGTERM) << ended.errors;
    const std::string screen = content("screen");
    EXPECT_NE(screen.find(" of 300 cases\r\x1b[Kevenhead: interrupted.\r\n"), std::string::npos) << screen;
}

// `script` gives the program a terminal (util-linux).
TEST_F(ManyTest, ProgressIsForATerminalAndGoneAfterwards) {
    const std::string plain = evenhead("check parks/birch parks/weak.toml").output;
    const auto on_terminal = [&](const std::string& arguments) {
        std::filesystem::remove(folder_ / "screen");
        const Ended ended =
            shell("TERM=xterm script -qec \"'" EVENHEAD_BINARY "' check parks/birch parks/weak.toml " +
                  arguments + "\" screen < /dev/null > /dev/null");
        EXPECT_EQ(ended.status, 1) << ended.errors;
        std::string screen = content("screen");
        screen = screen.substr(screen.find('\n') + 1);  // "Script started"
        return screen.substr(0, screen.find("\nScript done"));
    };
    const std::string shown = on_terminal("> lines");
    EXPECT_NE(shown.find(" of 2 cases"), std::string::npos) << shown;
    const std::size_t erased = shown.rfind("\r\x1b[K");
    ASSERT_NE(erased, std::string::npos) << shown;
    EXPECT_EQ(shown.find_first_not_of("\r\n", erased + 4), std::string::npos) << shown;
    EXPECT_EQ(content("lines"), plain);
    EXPECT_EQ(on_terminal("--quiet > lines").find("cases"), std::string::npos);
    EXPECT_EQ(on_terminal("> lines 2> errors").find("cases"), std::string::npos);
    EXPECT_EQ(content("errors"), "");
}

}  // namespace
}  // namespace evenhead::cli
