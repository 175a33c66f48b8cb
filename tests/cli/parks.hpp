// A folder of cases for the tests of lists: two that are read and balanced, one that cannot be read, one
// without a proven balance; and beside them what is no case.
#pragma once

#include <nlohmann/json.hpp>
#include <vector>

#include "tests/cli/run_program.hpp"

namespace evenhead::cli {

using nlohmann::json;

/// Two regulators with one set pressure and nothing between their outlets: how they share the flow is open.
inline constexpr const char* no_one_balance = R"(ground = 0
supplies = [ { id = "street", static = 80, flow = 40, residual = 70 } ]
devices = [
  { id = "R1", type = "regulator", cv = 20, set = 40 },
  { id = "R2", type = "regulator", cv = 20, set = 40 },
]
nozzles = [ { id = "n", pressure = 30, flow = 2 } ]
heads = [ { id = "H1", nozzle = "n" } ]
pipes = [
  { along = "street 10 T 1 R1 0 M 10 H1", size = "pvc-sch40 1" },
  { along = "T 1 R2 0 M", size = "pvc-sch40 1" },
]
)";

inline std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::stringstream stream(text);
    for (std::string line; std::getline(stream, line);) lines.push_back(line);
    return lines;
}

inline std::vector<json> objects_of(const std::string& text) {
    std::vector<json> objects;
    for (const std::string& line : lines_of(text)) objects.push_back(json::parse(line));
    return objects;
}

class ManyTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        folder("parks/birch");
        folder("parks/oak");
        folder("parks/.old");
        write("parks/birch/case.toml", two_zones());
        write("parks/birch/readings.toml",
              "# of last week\n\n[[readings]]\nrun = \"lawn\"\nat = \"L4\"\npressure = 31\n");
        write("parks/weak.toml", two_zones("", "65"));
        write("parks/oak/case.toml", two_zones("unit = \"us\"\nground = \"high\""));
        write("parks/twin.TOML", no_one_balance);
        write("parks/notes.txt", "no case");
        write("parks/.hidden.toml", "no case");
        write("parks/.old/case.toml", "no case");
    }

    void folder(const std::string& name) const { std::filesystem::create_directories(folder_ / name); }

    std::vector<std::string> names_in(const std::string& arguments) const {
        std::vector<std::string> names;
        for (const json& object : objects_of(evenhead("check --format json " + arguments).output))
            names.push_back(object.at("case"));
        return names;
    }

    void expect_refused(const std::string& arguments, const std::string& words) const {
        const Ended ended = evenhead("check " + arguments + " -o out");
        EXPECT_EQ(ended.status, 2) << arguments;
        EXPECT_EQ(ended.output, "") << arguments;
        EXPECT_NE(ended.errors.find(words), std::string::npos) << arguments << "\n" << ended.errors;
        EXPECT_FALSE(exists("out")) << arguments;
    }
};

inline const std::vector<std::string> all_names = {"parks/birch/case.toml", "parks/oak/case.toml",
                                                   "parks/twin.TOML", "parks/weak.toml"};

}  // namespace evenhead::cli
