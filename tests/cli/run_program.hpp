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

    /// Runs the program as somebody whom permissions hold back, in a folder that anybody may enter.
    std::string as_anybody() const {
        if (::geteuid() != 0) return "evenhead";
        std::filesystem::permissions(folder_, std::filesystem::perms(0755));
        if (!exists("program")) std::filesystem::copy_file(EVENHEAD_BINARY, folder_ / "program");
        return "setpriv --reuid=65534 --regid=65534 --clear-groups ./program";
    }

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

/// Zones enough for a result of megabytes. Everything in it is invented.
inline std::string many_zones(int zones) {
    std::string valves, laterals, along = "street";
    for (int i = 1; i <= zones; ++i) {
        const std::string n = std::to_string(i);
        valves += "  { id = \"V" + n + "\", cv = 10 },\n";
        laterals += "  { id = \"Z" + n + "-\", from = \"V" + n +
                    "\", first = 10, heads = 9, spacing = 12, nozzle = \"n\", size = \"pvc-cl200 1\" },\n";
        along += " 3 T" + n;
    }
    std::string pipes = "  { along = \"" + along + "\", size = \"pvc-sch40 2\" },\n";
    for (int i = 1; i <= zones; ++i) {
        const std::string n = std::to_string(i);
        pipes += "  { along = \"T" + n + " 5 V" + n + "\", size = \"pvc-sch40 2\" },\n";
    }
    return "ground = 0\nsupplies = [ { id = \"street\", static = 70 } ]\n"
           "nozzles = [ { id = \"n\", pressure = 30, flow = 1.2 } ]\nvalves = [\n" +
           valves + "]\nlaterals = [\n" + laterals + "]\npipes = [\n" + pipes + "]\n";
}

}  // namespace evenhead::cli
