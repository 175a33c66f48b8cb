// Runs the built program as a shell would, in a folder of its own.
#pragma once

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace evenhead::cli {

/// What a command printed, and how it ended.
struct Ended {
    int status = -1;
    std::string output, errors;
};

class ProgramTest : public testing::Test {
  protected:
    void SetUp() override {
        std::string pattern = (std::filesystem::temp_directory_path() / "evenhead-cli-XXXXXX").string();
        ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
        folder_ = pattern;
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    /// `evenhead` in `command` is the program under test.
    Ended shell(const std::string& command) const {
        const std::string program = "evenhead() { '" EVENHEAD_BINARY "' \"$@\"; }; ";
        const std::string line =
            "cd '" + folder_.string() + "' && { " + program + command + "\n} >.out 2>.err";
        const int status = std::system(("bash -c " + quoted(line)).c_str());
        return {WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status), content(".out"),
                content(".err")};
    }
    Ended evenhead(const std::string& arguments) const { return shell("evenhead " + arguments); }

    void write(const std::string& name, const std::string& text) const {
        std::ofstream(folder_ / name, std::ios::binary) << text;
    }
    std::string content(const std::string& name) const {
        std::ifstream stream(folder_ / name, std::ios::binary);
        std::stringstream text;
        text << stream.rdbuf();
        return text.str();
    }
    bool exists(const std::string& name) const { return std::filesystem::exists(folder_ / name); }

    std::filesystem::path folder_;

  private:
    static std::string quoted(const std::string& text) {
        std::string result = "'";
        for (const char c : text) result += c == '\'' ? std::string("'\\''") : std::string(1, c);
        return result + "'";
    }
};

inline std::string first_line(const std::string& text) {
    return text.substr(0, text.find('\n'));
}

/// Two zones on one supply; `more` is added at the top. Everything in it is invented.
inline std::string two_zones(const std::string& more = "", const std::string& wanted = "20") {
    return "title = \"Two zones\"\n" + more +
           "\nground = 100\n"
           "supplies = [ { id = \"street\", static = 60, flow = 15, residual = 50 } ]\n"
           "valves = [ { id = \"lawn\", cv = 10 }, { id = \"beds\", cv = 10 } ]\n"
           "nozzles = [ { id = \"n\", pressure = 30, flow = 1.2, min = " +
           wanted +
           ", max = 70 } ]\n"
           "laterals = [\n"
           "  { id = \"L\", from = \"lawn\", first = 10, heads = 4, spacing = 12, nozzle = \"n\", size = "
           "\"pvc-cl200 1\" },\n"
           "  { id = \"B\", from = \"beds\", first = 10, heads = 2, spacing = 12, nozzle = \"n\", size = "
           "\"pvc-cl200 1\" },\n"
           "]\n"
           "pipes = [\n"
           "  { along = \"street 40 T1 10 lawn\", size = \"pvc-sch40 1\" },\n"
           "  { from = \"T1\", to = \"beds\", length = 20, size = \"pvc-sch40 1\" },\n"
           "]\n";
}

}  // namespace evenhead::cli
