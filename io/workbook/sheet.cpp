#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "io/workbook/book_parts.hpp"
#include "io/write/layout.hpp"

namespace evenhead::io {
namespace {

constexpr std::size_t most_bytes = 4000;   // of a cell's string
constexpr std::size_t most_letters = 110;  // of what repeats above every page
constexpr double line_points = 13;

lxw_row_t row_of(int row) {
    return static_cast<lxw_row_t>(row);
}
lxw_col_t column_of(int column) {
    return static_cast<lxw_col_t>(column);
}

std::string clipped(std::string text, std::size_t most) {
    if (text.size() <= most) return text;
    std::size_t end = most;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80) --end;
    return text.substr(0, end) + " ...";
}

/// For the lines above and below a page, where "&" begins a code and "&&" is the character. The library takes
/// the
/// "&G" of "&&G" for a picture.
std::string coded(std::string_view text) {
    std::string result;
    for (const char c : text) {
        if (!result.empty() && result.back() == '&' && (c == 'G' || c == '[')) result += ' ';
        if (c == '&') result += '&';
        result += c == '\n' ? ' ' : c;
    }
    return result;
}

/// As much of the text as there is room for: both sides of such a line and their codes take 255 characters.
std::string page_text(const std::string& text) {
    const std::string shown = cell_text(text);
    std::string result = coded(shown);
    for (std::size_t most = std::min(shown.size(), most_letters); result.size() > most_letters; --most)
        result = coded(clipped(shown, most - 1));
    return result;
}

/// A reader of the file takes "_x0041_" for an escaped "A"; escaped itself it stays what it is.
std::string escaped(std::string text) {
    const auto is_code = [&](std::size_t at) {
        constexpr std::size_t length = 7;
        if (at + length > text.size() || text[at + 1] != 'x' || text[at + length - 1] != '_') return false;
        const std::string_view digits = std::string_view(text).substr(at + 2, 4);
        return digits.find_first_not_of("0123456789abcdefABCDEF") == std::string_view::npos;
    };
    constexpr std::string_view underscore = "_x005F";
    for (std::size_t at = text.find('_'); at != std::string::npos; at = text.find('_', at + 1)) {
        if (!is_code(at)) continue;
        text.insert(at, underscore);
        at += underscore.size();
    }
    return text;
}

}  // namespace

std::string cell_text(std::string_view text) {
    std::string result;
    for (std::size_t start = 0; start <= text.size();) {
        const std::size_t end = std::min(text.find('\n', start), text.size());
        if (start > 0) result += '\n';
        result += printable(text.substr(start, end - start));
        start = end + 1;
    }
    for (const std::string_view forbidden : {"\xEF\xBF\xBE", "\xEF\xBF\xBF"})
        for (std::size_t at; (at = result.find(forbidden)) != std::string::npos;) result.replace(at, 3, "?");
    return clipped(std::move(result), most_bytes);
}

std::string cell_name(int row, int column, bool fixed) {
    std::string letters;
    for (int left = column + 1; left > 0; left = (left - 1) / 26)
        letters.insert(letters.begin(), static_cast<char>('A' + (left - 1) % 26));
    const char* mark = fixed ? "$" : "";
    return fmt::format("{0}{1}{0}{2}", mark, letters, row + 1);
}

void unwritten(const std::string& why) {
    throw WriteError("cannot write the workbook: " + why + ". Nothing was written.");
}

void written(lxw_error error) {
    if (error == LXW_NO_ERROR) return;
    std::string why = lxw_strerror(error);
    if (!why.empty() && why.back() == '.') why.pop_back();
    unwritten(why);
}

void Sheet::text(int row, int column, std::string_view text, Look look) {
    written(worksheet_write_string(sheet_, row_of(row), column_of(column), escaped(cell_text(text)).c_str(),
                                   book_.format(look)));
}

void Sheet::blank(int row, int first, int last, Look look) {
    for (int column = first; column <= last; ++column)
        written(worksheet_write_blank(sheet_, row_of(row), column_of(column), book_.format(look)));
}

void Sheet::paragraph(int row, int first, int last, std::string_view text, Look look) {
    const std::string shown = escaped(cell_text(text));
    if (last > first)
        written(worksheet_merge_range(sheet_, row_of(row), column_of(first), row_of(row), column_of(last),
                                      shown.c_str(), book_.format(look)));
    else
        written(
            worksheet_write_string(sheet_, row_of(row), column_of(first), shown.c_str(), book_.format(look)));
    // The width of a column is in digits; letters are as wide on the whole, small ones fit a fifth more.
    double width = 0;
    for (int column = first; column <= last; ++column) width += widths_.at(column);
    const std::string lines =
        io::paragraph(shown, static_cast<int>(look == Look::small ? width * 1.2 : width));
    double& high = heights_[row];
    high =
        std::max(high, 3 + line_points * static_cast<double>(std::count(lines.begin(), lines.end(), '\n')));
    height(row, high);
}

void Sheet::number(int row, int column, double value, Look look, const std::string& numbers) {
    lxw_format* format = book_.format(look, numbers);
    written(std::isfinite(value)
                ? worksheet_write_number(sheet_, row_of(row), column_of(column), value, format)
                : worksheet_write_blank(sheet_, row_of(row), column_of(column), format));
}

void Sheet::formula(int row, int column, const std::string& formula, double value, Look look,
                    const std::string& numbers) {
    written(worksheet_write_formula_num(sheet_, row_of(row), column_of(column), ("=" + formula).c_str(),
                                        book_.format(look, numbers), value));
}

void Sheet::words(int row, int column, const std::string& formula, const std::string& value, Look look) {
    written(worksheet_write_formula_str(sheet_, row_of(row), column_of(column), ("=" + formula).c_str(),
                                        book_.format(look), value.c_str()));
}

void Sheet::link(int row, int column, std::string_view text, const std::string& sheet) {
    const std::string place = "internal:" + quoted_sheet(sheet) + "!A1";
    written(worksheet_write_url_opt(sheet_, row_of(row), column_of(column), place.c_str(),
                                    book_.format(Look::link), escaped(cell_text(text)).c_str(), nullptr));
}

void Sheet::width(int first, int last, double characters) {
    for (int column = first; column <= last; ++column) widths_[column] = characters;
    written(worksheet_set_column(sheet_, column_of(first), column_of(last), characters, nullptr));
}

void Sheet::height(int row, double points) {
    written(worksheet_set_row(sheet_, row_of(row), points, nullptr));
}

void Sheet::warn_below_zero(int row, int column) {
    lxw_conditional_format rule{};
    rule.type = LXW_CONDITIONAL_TYPE_CELL;
    rule.criteria = LXW_CONDITIONAL_CRITERIA_LESS_THAN;
    rule.value = -5e-7;
    rule.format = book_.format(Look::bad);
    written(worksheet_conditional_format_cell(sheet_, row_of(row), column_of(column), &rule));
}

void Sheet::print(const PrintSetup& setup) {
    constexpr std::uint8_t letter = 1, a4 = 9;  // as the file format numbers paper
    worksheet_set_paper(sheet_, setup.letter ? letter : a4);
    if (setup.landscape) worksheet_set_landscape(sheet_);
    worksheet_set_margins(sheet_, 0.6, 0.6, 0.9, 0.8);  // in
    worksheet_fit_to_pages(sheet_, 1, 0);
    written(worksheet_print_area(sheet_, 0, 0, row_of(setup.last_row), column_of(setup.last_column)));
    if (setup.heading_row >= 0) {
        written(worksheet_repeat_rows(sheet_, row_of(setup.heading_row), row_of(setup.heading_row)));
        worksheet_freeze_panes(sheet_, row_of(setup.heading_row + 1), 1);
    }
    written(worksheet_set_header(
        sheet_, fmt::format("&L&9{}&R&9{}", page_text(setup.left), page_text(setup.right)).c_str()));
    written(worksheet_set_footer(
        sheet_, "&L&9For irrigation sprinklers, not for fire protection&C&9&A&R&9Page &P of &N"));
}

std::string Sheet::reference(int row, int column) const {
    return quoted_sheet(name_) + "!" + cell_name(row, column, true);
}

}  // namespace evenhead::io
