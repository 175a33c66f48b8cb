// Where results go: whole to their place, or not at all, with a message and a status; and how the program
// ends when somebody ends it. POSIX (IEEE Std 1003.1) names the errors: ENOSPC, ENOENT, EISDIR, ENOTDIR,
// EACCES, EFBIG, EBADF.
#include <sys/stat.h>

#include <csignal>

#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

/// Everything that writes to a file of its choice.
const std::vector<std::string> writers = {"check case.toml",
                                          "check case.toml --format json",
                                          "check case.toml --format csv",
                                          "worksheet case.toml",
                                          "worksheet case.toml --format json",
                                          "worksheet case.toml --format csv",
                                          "worksheet case.toml --format xlsx",
                                          "kinds",
                                          "kinds --format json",
                                          "kinds pvc-cl200 --format csv"};

class FilesTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        write("case.toml", two_zones());
    }

    /// No half-written file has been left behind.
    void expect_no_strays(const std::string& after) const {
        for (const auto& entry : std::filesystem::recursive_directory_iterator(folder_))
            EXPECT_EQ(entry.path().filename().string().find(".evenhead"), std::string::npos)
                << entry.path() << " after " << after;
    }

    void expect_refused(const std::string& command, const std::string& words) const {
        const Ended ended = shell(command);
        EXPECT_EQ(ended.status, 2) << command;
        EXPECT_EQ(ended.output, "") << command;
        EXPECT_NE(ended.errors.find(words), std::string::npos) << command << "\n" << ended.errors;
        expect_no_strays(command);
    }

    /// Starts to write over an older result, sends the signal in the middle, and tells how that ended.
    Ended interrupted(const std::string& signal) const {
        write("many.toml", many_zones(100));
        write("result.json", "old");
        // Job control: without it a shell lets what runs in the background ignore SIGINT.
        return shell(
            "set -m; '" EVENHEAD_BINARY
            "' check many.toml --format json -o result.json & program=$!; for i in {1..3000}; do "
            "for part in .evenhead-*; do [ -s \"$part\" ] && break 2; done; sleep 0.01; done; kill -" +
            signal + " $program; wait $program");
    }
};

TEST_F(FilesTest, WhatCannotBeWrittenIsSaidByEveryVerb) {
    for (const std::string& writer : writers) {
        const std::string command = "evenhead " + writer;
        expect_refused(command + " -o /dev/full", "cannot write /dev/full: No space left on device.");
        expect_refused(command + " -o nowhere/result",
                       "cannot write nowhere/result: No such file or directory.");
        expect_refused(command + " -o .", "cannot write .: Is a directory.");
        expect_refused(command + " -o case.toml/result", "cannot write case.toml/result: Not a directory.");
        if (writer.ends_with("xlsx")) continue;  // never on standard output
        expect_refused(command + " > /dev/full", "cannot write standard output: No space left on device.");
        expect_refused(command + " >&-", "cannot write standard output: Bad file descriptor.");
    }
    for (const char* command : {"evenhead --help", "evenhead --version", "evenhead check --help"}) {
        expect_refused(std::string(command) + " > /dev/full", "cannot write standard output");
        expect_refused(std::string(command) + " >&-", "cannot write standard output");
    }
    EXPECT_EQ(content("case.toml"), two_zones());
}

TEST_F(FilesTest, StartWritesWholeOrNotAtAll) {
    expect_refused("evenhead start nowhere/a.toml --yes",
                   "cannot write nowhere/a.toml: No such file or directory.");
    expect_refused("evenhead start /dev/full --yes --force",
                   "cannot write /dev/full: No space left on device.");
    // The case is written; only the words about it are lost.
    expect_refused("evenhead start a.toml --yes > /dev/full", "cannot write standard output");
    EXPECT_EQ(evenhead("check a.toml").status, 0);
}

TEST_F(FilesTest, AFolderOrFileThatIsReadOnlyStaysAsItWas) {
    const std::string program = as_anybody();
    std::filesystem::create_directory(folder_ / "closed");
    write("closed/result", "old");
    ::chmod((folder_ / "closed/result").c_str(), 0666);
    ::chmod((folder_ / "closed").c_str(), 0555);
    std::filesystem::create_directory(folder_ / "open");
    ::chmod((folder_ / "open").c_str(), 0777);
    write("open/result", "old");
    ::chmod((folder_ / "open/result").c_str(), 0444);
    for (const std::string& writer : writers) {
        const std::string command = program + " " + writer;
        expect_refused(command + " -o closed/new", "cannot write closed/new: Permission denied.");
        expect_refused(command + " -o closed/result", "cannot write closed/result: Permission denied.");
        expect_refused(command + " -o open/result", "cannot write open/result: Permission denied.");
    }
    expect_refused(program + " start closed/a.toml --yes", "cannot write closed/a.toml: Permission denied.");
    EXPECT_FALSE(exists("closed/new"));
    EXPECT_EQ(content("closed/result"), "old");
    EXPECT_EQ(content("open/result"), "old");
    EXPECT_EQ(shell(program + " check case.toml -o open/new").status, 0);
    ::chmod((folder_ / "closed").c_str(), 0755);  // to be removed
}

// A disk that fills up in mid-write, as a limit on the size of files.
TEST_F(FilesTest, ADiskThatFillsUpLeavesTheOldFile) {
    write("many.toml", many_zones(20));
    write("result.json", "old");
    expect_refused(
        "ulimit -f 64; evenhead check many.toml --format json -o result.json",
        "cannot write result.json: File too large. Nothing was written; a file of that name stands as it "
        "was.");
    EXPECT_EQ(content("result.json"), "old");
}

TEST_F(FilesTest, AReaderThatHasSeenEnoughIsNoNews) {
    write("many.toml", many_zones(20));
    for (const char* command :
         {"check many.toml --format json", "check many.toml --format csv --table pipes"}) {
        const Ended ended =
            shell(std::string("evenhead ") + command + " | head -1 > first; echo ${PIPESTATUS[0]}");
        EXPECT_EQ(ended.output, "2\n") << command;
        EXPECT_EQ(ended.errors, "") << command;
        EXPECT_GT(content("first").size(), 10U) << command;
    }
}

TEST_F(FilesTest, AnInterruptInMidWriteLeavesTheOldFile) {
    for (const auto& [name, number] : {std::pair{"INT", SIGINT}, {"TERM", SIGTERM}, {"HUP", SIGHUP}}) {
        const Ended ended = interrupted(name);
        EXPECT_EQ(ended.status, 128 + number) << name;
        EXPECT_NE(ended.errors.find(
                      "evenhead: interrupted. Nothing was written; a file of that name stands as it was."),
                  std::string::npos)
            << name << ended.errors;
        EXPECT_EQ(content("result.json"), "old") << name;
        expect_no_strays(name);
    }
}

TEST_F(FilesTest, AnInterruptWhileStartAsksWritesNothing) {
    const Ended ended =
        shell("set -m; '" EVENHEAD_BINARY
              "' start a.toml < <(sleep 30) & program=$!; for i in {1..3000}; do grep -q brackets .err && "
              "break; sleep 0.01; done; kill -INT $program; wait $program");
    EXPECT_EQ(ended.status, 128 + SIGINT);
    EXPECT_NE(ended.errors.find("evenhead: interrupted."), std::string::npos) << ended.errors;
    EXPECT_FALSE(exists("a.toml"));
    expect_no_strays("start");
}

// nohup: whoever lets the program ignore a hang-up wants it to go on.
TEST_F(FilesTest, AnIgnoredHangUpStaysIgnored) {
    write("many.toml", many_zones(20));
    const Ended ended = shell(
        "trap '' HUP; '" EVENHEAD_BINARY
        "' check many.toml --format json -o result.json & program=$!; kill -HUP $program; wait $program");
    EXPECT_EQ(ended.status, 0) << ended.errors;
    EXPECT_GT(content("result.json").size(), 1000U);
}

// What is opened next would take the place of a closed stream, and get the words for the screen.
TEST_F(FilesTest, AClosedStreamDoesNotWriteIntoTheResult) {
    ASSERT_EQ(evenhead("check case.toml --format json -o plain.json").status, 0);
    EXPECT_EQ(evenhead("check case.toml --format json --verbose -o result.json 2>&-").status, 0);
    EXPECT_EQ(content("result.json"), content("plain.json"));
    EXPECT_EQ(evenhead("check case.toml --format json --verbose -o result.json 2>&- >&- <&-").status, 0);
    EXPECT_EQ(content("result.json"), content("plain.json"));
    EXPECT_EQ(evenhead("start a.toml <&-").status, 2);
    EXPECT_FALSE(exists("a.toml"));
}

TEST_F(FilesTest, ALinkKeepsBeingALink) {
    write("real.txt", "old");
    std::filesystem::create_symlink("real.txt", folder_ / "link.txt");
    EXPECT_EQ(evenhead("check case.toml -o link.txt").status, 0);
    EXPECT_TRUE(std::filesystem::is_symlink(folder_ / "link.txt"));
    EXPECT_NE(content("real.txt"), "old");
    // A pipe is written, not replaced.
    EXPECT_EQ(shell("mkfifo pipe; cat pipe > read.txt & evenhead check case.toml -o pipe; status=$?; wait; "
                    "exit $status")
                  .status,
              0);
    EXPECT_EQ(content("read.txt"), content("real.txt"));
    EXPECT_TRUE(std::filesystem::is_fifo(folder_ / "pipe"));
}

}  // namespace
}  // namespace evenhead::cli
