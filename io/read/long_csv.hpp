// A CSV file that stays text: a million rows at once, each a list of cells, would take many times the memory
// of the file, and nobody looks at more than one of them.
#pragma once

#include <cstddef>
#include <deque>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/read/csv_lines.hpp"
#include "io/read/row.hpp"

namespace evenhead::io {

/// The rows of a file in which every line is a row of its own and no slip was found.
class LongCsv {
  public:
    /// Looks through the whole text. Empty where something in it is wrong, or where lines continue the chart
    /// of the line before: then read_csv makes rows of it, and says what is wrong.
    static std::optional<LongCsv> look_through(std::string_view text, int file, std::string_view table);

    std::string_view text() const { return text_; }
    std::size_t rows() const { return rows_; }
    int header_line() const { return header_line_; }

    /// Goes through the rows again. A row lives until the next one is asked for.
    class Walk {
      public:
        explicit Walk(const LongCsv& file);
        const Row* next();  ///< null behind the last

      private:
        const LongCsv& file_;
        std::deque<std::string> kept_;
        CsvLines lines_;
        CsvRecord record_;
        Row row_;
    };

  private:
    LongCsv() = default;
    bool right_header(const CsvRecord& record, std::string_view table);
    bool right_row(const CsvRecord& record);

    std::string_view text_;
    int file_ = 0;
    int header_line_ = 1;
    std::size_t rows_ = 0;
    std::vector<std::string_view> keys_;
    std::vector<bool> sizes_;      ///< columns that hold a size
    std::string_view known_size_;  ///< the last one seen that is no date: long tables repeat a few
    bool dotted_ = false;          ///< some key is as own_valve.cv is
    bool keys_known_ = false;      ///< all of them are keys of the table
};

}  // namespace evenhead::io
