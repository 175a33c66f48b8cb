// Plain text on a screen of so many columns: widths, wrapped paragraphs, tables.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace evenhead::io {

/// Columns of printed text unless more are asked for.
inline constexpr int page_columns = 60;
/// Rows of a table before "and 13 more".
inline constexpr std::size_t page_rows = 20;

/// How the text of a report is laid out.
struct Page {
    bool wide = false;    ///< lines as long as they come
    bool all = false;     ///< every row
    bool colour = false;  ///< the terminal shows it, and nobody said NO_COLOR
    int columns() const { return wide ? 1 << 20 : page_columns; }
    std::size_t rows() const { return all ? static_cast<std::size_t>(-1) : page_rows; }
};

/// Columns that a terminal gives to UTF-8 text (wide characters two, combining ones none). Independent of the
/// locale.
int display_width(std::string_view text);

/// `text` with what could steer a terminal (control characters, marks that turn the direction of writing), and
/// bytes that are no UTF-8, replaced by "?".
std::string printable(std::string_view text);

/// A paragraph wrapped at blanks: the first line begins with `first`, the others with as many blanks. Ends in
/// a newline.
std::string paragraph(std::string_view text, int columns, std::string_view first = "");

/// "and 13 more (--all)\n", or nothing where all are shown.
std::string and_more(std::size_t total, std::size_t shown);

/// A table with a heading. The first column stands left, the others right.
class TextTable {
  public:
    struct Column {
        std::string title, unit;
        int width = 0;  ///< least width
        bool left = false;
    };
    explicit TextTable(std::vector<Column> columns);
    void add(std::vector<std::string> cells) { rows_.push_back(std::move(cells)); }
    std::size_t size() const { return rows_.size(); }
    /// Heading and rows. A first cell that does not fit takes a line of its own where `page` is not wide.
    std::string text(const Page& page) const;

  private:
    std::vector<Column> columns_;
    std::vector<std::vector<std::string>> rows_;
};

enum class Colour { good, bad, doubtful };
/// `text` in colour where the page has any.
std::string coloured(std::string_view text, Colour colour, const Page& page);

}  // namespace evenhead::io
