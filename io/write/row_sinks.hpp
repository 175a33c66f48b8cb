// Rows as JSON objects and as lines of a CSV file.
#pragma once

#include "io/write/json_writer.hpp"
#include "io/write/result_rows.hpp"

namespace evenhead::io {

/// Adds a row's keys to the object that is open.
class JsonRow : public RowSink {
  public:
    explicit JsonRow(JsonWriter& json) : json_(json) {}
    void text(std::string_view key, std::string_view value) override { json_.text(key, value); }
    void number(std::string_view key, double value) override { json_.number(key, value); }
    void boolean(std::string_view key, bool value) override { json_.key(key).boolean(value); }
    void ids(std::string_view key, const std::vector<std::string>& values) override;

  private:
    JsonWriter& json_;
};

/// One cell of RFC 4180: quoted where it has to be. Text that a spreadsheet would run as a formula (it begins
/// with = or
/// @, or with + or - and calls something) gets an apostrophe in front; every other text stays as it is, ids
/// included.
std::string csv_cell(std::string_view text);

/// Writes lines of values in the order in which the keys come. Not known: an empty cell.
class CsvRow : public RowSink {
  public:
    explicit CsvRow(Output& output) : output_(output) {}
    void text(std::string_view, std::string_view value) override { cell(csv_cell(value)); }
    void number(std::string_view key, double value) override;
    void boolean(std::string_view, bool value) override { cell(value ? "true" : "false"); }
    void ids(std::string_view key, const std::vector<std::string>& values) override;
    /// The line is complete.
    void end();

  private:
    void cell(std::string_view value);

    Output& output_;
    std::string line_;
    bool empty_ = true;
};

}  // namespace evenhead::io
