// A case written into a folder of its own and read back, for the tests of the case reader.
#pragma once

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "io/read/case.hpp"

namespace evenhead::io {

class CaseFolder {
  public:
    CaseFolder() {
        std::string name = (std::filesystem::temp_directory_path() / "case-XXXXXX").string();
        folder_ = mkdtemp(name.data());
    }
    ~CaseFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }
    CaseFolder(const CaseFolder&) = delete;
    CaseFolder& operator=(const CaseFolder&) = delete;

    void write(const std::string& name, const std::string& text) const {
        std::ofstream(folder_ / name, std::ios::binary) << text;
    }
    const std::filesystem::path& path() const { return folder_; }
    CaseReading read() const { return read_case((folder_ / "case.toml").string()); }

  private:
    std::filesystem::path folder_;
};

/// "2:7: row: text | mend" for each issue; a file other than the case stands before the line.
inline std::vector<std::string> in_words(const std::vector<model::Issue>& issues,
                                         const CaseReading& reading) {
    std::vector<std::string> words;
    for (const model::Issue& issue : issues) {
        const std::filesystem::path file = reading.files.at(static_cast<std::size_t>(issue.place.file));
        const std::string where = issue.place.file == 0 ? "" : file.filename().string() + ":";
        words.push_back(where + std::to_string(issue.place.line) + ":" + std::to_string(issue.place.column) +
                        ": " + issue.row + ": " + issue.text + " | " + issue.mend);
    }
    return words;
}

using Words = std::vector<std::string>;

inline CaseReading read_text(const std::string& toml) {
    const CaseFolder folder;
    folder.write("case.toml", toml);
    return folder.read();
}

/// The errors of a case. Nothing half-read: with errors there is no system, without there is one.
inline Words errors_of(const std::string& toml) {
    const CaseReading reading = read_text(toml);
    EXPECT_EQ(reading.system.has_value(), reading.errors.empty());
    return in_words(reading.errors, reading);
}

inline Words warnings_of(const std::string& toml) {
    const CaseReading reading = read_text(toml);
    EXPECT_EQ(in_words(reading.errors, reading), Words());
    return in_words(reading.warnings, reading);
}

/// The system of a case that must be in order.
inline model::System system_of(const std::string& toml) {
    CaseReading reading = read_text(toml);
    EXPECT_EQ(in_words(reading.errors, reading), Words());
    return reading.system ? std::move(*reading.system) : model::System();
}

/// Supply, valve, one nozzle, one head and two pipes, in order, on lines 1 to 5; what a test is about stands
/// behind it.
inline const std::string sound_start =
    "supplies = [ { id = \"street\", static = 60, flow = 20, residual = 50 } ]\n"
    "valves = [ { id = \"lawn\", cv = 11 } ]\n"
    "nozzles = [ { id = \"half\", pressure = 30, flow = 1.2 } ]\n"
    "heads = [ { id = \"H1\", nozzle = \"half\" } ]\n"
    "pipes = [ { along = \"street 20 lawn 30 H1\", size = \"pvc-cl200 1\" } ]\n";

/// The sound start with one line (1 to 5) in place of its own, and `more` behind it.
inline std::string with_line(int line, const std::string& text, const std::string& more = "") {
    std::string whole;
    std::size_t begin = 0;
    for (int i = 1; i <= 5; ++i) {
        const std::size_t end = sound_start.find('\n', begin);
        whole += (i == line ? text : sound_start.substr(begin, end - begin)) + "\n";
        begin = end + 1;
    }
    return whole + more;
}

}  // namespace evenhead::io
