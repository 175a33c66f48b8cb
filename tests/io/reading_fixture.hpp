// A folder of its own for each test that reads files, gone afterwards.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>

#include "io/read/rows.hpp"

namespace evenhead::io {

class Reading : public testing::Test {
  protected:
    void SetUp() override {
        const testing::TestInfo& test = *testing::UnitTest::GetInstance()->current_test_info();
        folder =
            std::filesystem::temp_directory_path() / ("evenhead_" + std::string(test.test_suite_name()) +
                                                      "_" + test.name() + "_" + std::to_string(getpid()));
        std::filesystem::create_directories(folder);
    }
    void TearDown() override { std::filesystem::remove_all(folder); }

    std::string write(const std::string& name, std::string_view text) const {
        std::filesystem::create_directories((folder / name).parent_path());
        std::ofstream(folder / name, std::ios::binary) << text;
        return (folder / name).string();
    }
    Document read(std::string_view text) const { return read_document(write("case.toml", text)); }
    /// A case whose only table is a CSV of this text.
    Document read_csv(const std::string& table, std::string_view text) const {
        write(table + ".csv", text);
        return read(table + " = \"" + table + ".csv\"\n");
    }

    std::filesystem::path folder;
};

/// All errors, a line each: "file:line:column text -> mend".
inline std::string told(const Document& document) {
    std::string words;
    for (const model::Issue& error : document.errors)
        words += document.files[static_cast<std::size_t>(error.place.file)] + ":" +
                 std::to_string(error.place.line) + ":" + std::to_string(error.place.column) + " " +
                 error.text + " -> " + error.mend + "\n";
    return words;
}

/// Fails unless just these errors were told, at these lines and columns, each with these words in text or
/// mend.
struct Expected {
    int line, column;
    const char* words;
};
inline void expect_errors(const Document& document, const std::vector<Expected>& expected) {
    ASSERT_EQ(document.errors.size(), expected.size()) << told(document);
    for (std::size_t i = 0; i < expected.size(); ++i) {
        const model::Issue& error = document.errors[i];
        EXPECT_EQ(error.place.line, expected[i].line) << told(document);
        EXPECT_EQ(error.place.column, expected[i].column) << told(document);
        EXPECT_NE((error.text + " -> " + error.mend).find(expected[i].words), std::string::npos)
            << "no \"" << expected[i].words << "\" in\n"
            << told(document);
        EXPECT_FALSE(error.mend.empty()) << told(document);
    }
}

/// The text of a cell; "(absent)" where the row has none.
inline std::string text_of(const Row& row, std::string_view key) {
    const Cell* cell = row.find(key);
    return cell ? std::string(cell->text) : "(absent)";
}

}  // namespace evenhead::io
