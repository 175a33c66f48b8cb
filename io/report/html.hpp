// HTML as a stream: text that stays text, and tables.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "io/write/output.hpp"

namespace evenhead::io {

/// `text` as the content of an element or of an attribute in double quotes: nothing in it is markup. What
/// could steer the direction of writing, and bytes that are no UTF-8, become "?".
std::string html_text(std::string_view text);

/// Writes pieces of a page. `raw` is markup, `text` is words of the case.
class Html {
  public:
    explicit Html(Output& output) : output_(output) {}

    Html& raw(std::string_view markup) {
        output_.write(markup);
        return *this;
    }
    Html& text(std::string_view words) {
        output_.write(html_text(words));
        return *this;
    }
    /// `<tag>words</tag>`; the tag may have attributes.
    Html& element(std::string_view tag, std::string_view words);
    Output& output() { return output_; }

  private:
    Output& output_;
};

/// Title of a column, the unit below it ("" for none), and whether it holds numbers (they stand right).
struct HtmlColumn {
    std::string title;
    std::string unit{};
    bool number = false;
};

/// A row of a table while it is written.
class HtmlRow {
  public:
    explicit HtmlRow(Html& html) : html_(html) {}

    /// Begins the row; `id` may be empty.
    HtmlRow& begin(std::string_view id = "");
    /// The cell that names the row.
    HtmlRow& head(std::string_view words);
    HtmlRow& cell(std::string_view words, bool over = false);
    /// A number; `over`: it is over its limit, which is marked.
    HtmlRow& number(std::string_view words, bool over = false);
    void end();

  private:
    Html& html_;
};

struct HtmlTable {
    std::string_view id;
    std::string caption;  ///< what it lists, with its order
    std::vector<HtmlColumn> columns;
    bool tools = true;  ///< the page's script adds sorting, filtering and copying
};

/// Rows of a table that are seen at once; the others are folded away beneath them.
inline constexpr std::size_t rows_shown = 150;

/// Writes a table of so many rows; `row(line, i)` writes the i-th. An empty one says "none" instead.
void write_table(Html& html, const HtmlTable& table, std::size_t rows,
                 const std::function<void(HtmlRow&, std::size_t)>& row);

}  // namespace evenhead::io
