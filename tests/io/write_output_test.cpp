// Files are written whole or not at all. What the calls promise: POSIX.1-2017 rename(), write().
#include "io/write/output.hpp"

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <sstream>

namespace evenhead::io {
namespace {

namespace fs = std::filesystem;

class OutputTest : public testing::Test {
  protected:
    void SetUp() override {
        std::string pattern = (fs::temp_directory_path() / "evenhead-output-XXXXXX").string();
        ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
        folder_ = pattern;
    }
    void TearDown() override { fs::remove_all(folder_); }
    static std::string content(const fs::path& path) {
        std::ifstream stream(path, std::ios::binary);
        std::stringstream text;
        text << stream.rdbuf();
        return text.str();
    }
    std::size_t files() const {
        return static_cast<std::size_t>(
            std::distance(fs::directory_iterator(folder_), fs::directory_iterator()));
    }
    fs::path folder_;
};

TEST_F(OutputTest, TheFileAppearsWhole) {
    const fs::path path = folder_ / "result.json";
    {
        Output output(path.string());
        output.write("half");
        EXPECT_FALSE(fs::exists(path));
        output.write(" and half");
        output.finish();
    }
    EXPECT_EQ(content(path), "half and half");
    EXPECT_EQ(files(), 1U);
}

TEST_F(OutputTest, WithoutFinishTheOldFileStandsAndNothingIsLeft) {
    const fs::path path = folder_ / "result.json";
    std::ofstream(path) << "old";
    {
        Output output(path.string());
        output.write("new");
    }
    EXPECT_EQ(content(path), "old");
    EXPECT_EQ(files(), 1U);
}

TEST_F(OutputTest, ALinkStaysALinkAndModesAreKept) {
    const fs::path target = folder_ / "target.json", link = folder_ / "link.json";
    std::ofstream(target) << "old";
    ::chmod(target.c_str(), 0640);
    fs::create_symlink("target.json", link);
    Output output(link.string());
    output.write("new");
    output.finish();
    EXPECT_TRUE(fs::is_symlink(link));
    EXPECT_EQ(content(target), "new");
    struct stat status {};
    ASSERT_EQ(::stat(target.c_str(), &status), 0);
    EXPECT_EQ(status.st_mode & 0777U, 0640U);
}

TEST_F(OutputTest, ATakerGetsAllInOrder) {
    std::string taken, written;
    int pieces = 0;
    Output output([&](std::string_view piece) {
        taken += piece;
        ++pieces;
    });
    EXPECT_FALSE(output.terminal());
    for (int i = 0; i < 50000; ++i) {
        output.write(std::to_string(i) + "\n");
        written += std::to_string(i) + "\n";
    }
    EXPECT_GT(pieces, 1);
    EXPECT_LT(taken.size(), written.size());
    output.finish();
    EXPECT_EQ(taken, written);
}

TEST_F(OutputTest, AFolderOrAMissingFolderIsRefused) {
    EXPECT_THROW(Output(folder_.string()), WriteError);
    EXPECT_THROW(Output((folder_ / "missing" / "result.json").string()), WriteError);
}

TEST_F(OutputTest, AFullDiskIsReported) {
    if (!fs::exists("/dev/full")) GTEST_SKIP() << "no /dev/full here";
    Output output("/dev/full");
    output.write("text");
    EXPECT_THROW(output.finish(), WriteError);
}

}  // namespace
}  // namespace evenhead::io
