#include "io/report/html.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/write/layout.hpp"

namespace evenhead::io {
namespace {

std::string_view entity(char c) {
    switch (c) {
        case '&':
            return "&amp;";
        case '<':
            return "&lt;";
        case '>':
            return "&gt;";
        case '"':
            return "&quot;";
        case '\'':
            return "&#39;";
        default:
            return {};
    }
}

std::string heading(const HtmlTable& table) {
    std::string text = "<thead><tr>";
    for (const HtmlColumn& column : table.columns) {
        text += fmt::format("<th scope=\"col\"{}>{}", column.number ? " class=\"number\"" : "",
                            html_text(column.title));
        if (!column.unit.empty()) text += fmt::format(" <small>{}</small>", html_text(column.unit));
        text += "</th>";
    }
    return text + "</tr></thead>\n";
}

void body(Html& html, std::size_t first, std::size_t last,
          const std::function<void(HtmlRow&, std::size_t)>& row) {
    html.raw("<tbody>\n");
    HtmlRow line(html);
    for (std::size_t i = first; i < last; ++i) row(line, i);
    html.raw("</tbody></table></div>\n");
}

}  // namespace

std::string html_text(std::string_view text) {
    std::string result;
    const std::string safe = printable(text);
    result.reserve(safe.size());
    for (const char c : safe) {
        const std::string_view stands_for = entity(c);
        if (stands_for.empty())
            result += c;
        else
            result += stands_for;
    }
    return result;
}

Html& Html::element(std::string_view tag, std::string_view words) {
    output_.write(fmt::format("<{}>{}</{}>", tag, html_text(words), tag.substr(0, tag.find(' '))));
    return *this;
}

HtmlRow& HtmlRow::begin(std::string_view id) {
    html_.raw("<tr");
    if (!id.empty()) html_.raw(" id=\"").text(id).raw("\"");
    html_.raw(">");
    return *this;
}

HtmlRow& HtmlRow::head(std::string_view words) {
    html_.raw("<th scope=\"row\">").text(words).raw("</th>");
    return *this;
}

HtmlRow& HtmlRow::cell(std::string_view words, bool over) {
    html_.raw(over ? "<td class=\"over\">" : "<td>").text(words).raw("</td>");
    return *this;
}

HtmlRow& HtmlRow::number(std::string_view words, bool over) {
    html_.raw(over ? "<td class=\"number over\">" : "<td class=\"number\">").text(words).raw("</td>");
    return *this;
}

void HtmlRow::end() {
    html_.raw("</tr>\n");
}

void write_table(Html& html, const HtmlTable& table, std::size_t rows,
                 const std::function<void(HtmlRow&, std::size_t)>& row) {
    if (rows == 0) {
        html.raw(
            fmt::format("<p class=\"none\" id=\"{}\">{}: none.</p>\n", table.id, html_text(table.caption)));
        return;
    }
    const std::size_t shown = std::min(rows, rows_shown);
    const std::string name = html_text(table.caption);
    html.raw(fmt::format("<div class=\"table{}\" id=\"{}\">\n", table.tools ? " tools" : "", table.id));
    html.raw(
        fmt::format("<div class=\"rows\" role=\"region\" tabindex=\"0\" aria-label=\"{}\"><table><caption>{}"
                    "</caption>\n",
                    name, name));
    html.raw(heading(table));
    body(html, 0, shown, row);
    if (shown < rows) {
        html.raw(fmt::format("<details class=\"rest\"><summary>{} more rows</summary>\n", rows - shown));
        html.raw(fmt::format(
            "<div class=\"rows\" role=\"region\" tabindex=\"0\" aria-label=\"{}, more rows\"><table>", name));
        html.raw(heading(table));
        body(html, shown, rows, row);
        html.raw(fmt::format(
            "</details>\n<p class=\"printed\">{} more rows are in the file and not printed.</p>\n",
            rows - shown));
    }
    html.raw("</div>\n");
}

}  // namespace evenhead::io
