// A CSV text line by line, each cut into cells (RFC 4180: cells between quotes may hold commas, line ends and
// doubled quotes; LF or CRLF). What the cells mean is nobody's business here.
#pragma once

#include <cstddef>
#include <deque>
#include <string>
#include <string_view>
#include <vector>

namespace evenhead::io {

/// One line; a cell between quotes may carry it over several.
struct CsvRecord {
    int line = 0;                         ///< its first, from 1
    std::vector<std::string_view> cells;  ///< without quotes and the blanks around them
};

class CsvLines {
  public:
    /// A quote that is never closed, or closed in the middle of a cell: the cell is taken to end with its
    /// line.
    struct BrokenQuote {
        int line = 0, field = 0;
        std::string_view rest;  ///< what follows the quote on its line
    };

    /// `text` and `kept` must live as long as the cells; words with doubled quotes are written again into
    /// `kept`.
    CsvLines(std::string_view text, std::deque<std::string>& kept) : text_(text), kept_(kept) {}

    /// The next line with something in it; false at the end of the text.
    bool next(CsvRecord& record);
    std::vector<BrokenQuote> broken;  ///< found so far; whoever has told of them empties it

    void set_separator(char separator) { separator_ = separator; }
    char separator() const { return separator_; }
    void skip_line();
    int line() const { return line_; }
    std::string_view rest_of_line() const;
    /// The lines from here to the end, empty ones included.
    std::size_t count_ahead() const;

  private:
    char here() const { return at_ < text_.size() ? text_[at_] : '\n'; }
    std::size_t line_end(std::size_t from) const;
    std::string_view cell(const CsvRecord& record);
    std::string_view quoted_cell(const CsvRecord& record);
    std::string_view broken_quote(const CsvRecord& record, std::size_t begin, int first_line);

    std::string_view text_;
    std::deque<std::string>& kept_;
    std::size_t at_ = 0;
    int line_ = 1;
    char separator_ = ',';
};

}  // namespace evenhead::io
