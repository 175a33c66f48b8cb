#include "io/write/layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdint>

#include "io/units.hpp"

namespace evenhead::io {
namespace {

struct Range {
    std::uint32_t first, last;
};

// Unicode 15: the blocks that terminals show in two columns (East Asian Width W and F), and the marks that
// take none.
constexpr std::array<Range, 12> wide_ranges{{{0x1100, 0x115F},
                                             {0x2E80, 0x303E},
                                             {0x3041, 0x33FF},
                                             {0x3400, 0x4DBF},
                                             {0x4E00, 0x9FFF},
                                             {0xA000, 0xA4CF},
                                             {0xAC00, 0xD7A3},
                                             {0xF900, 0xFAFF},
                                             {0xFE30, 0xFE6F},
                                             {0xFF00, 0xFF60},
                                             {0x1F300, 0x1FAFF},
                                             {0x20000, 0x3FFFD}}};
constexpr std::array<Range, 6> empty_ranges{{{0x0300, 0x036F},
                                             {0x1AB0, 0x1AFF},
                                             {0x200B, 0x200F},
                                             {0x20D0, 0x20FF},
                                             {0xFE00, 0xFE0F},
                                             {0xFE20, 0xFE2F}}};

template <std::size_t N>
bool within(const std::array<Range, N>& ranges, std::uint32_t code) {
    return std::any_of(ranges.begin(), ranges.end(),
                       [code](const Range& range) { return code >= range.first && code <= range.last; });
}

// What shows nothing but steers what is shown after it: C0 and C1 controls, marks that turn the direction of
// writing, separators of lines, blanks without width (a joiner of letters is no such thing).
constexpr std::array<Range, 9> steering_ranges{{{0x00, 0x1F},
                                                {0x7F, 0x9F},
                                                {0x061C, 0x061C},
                                                {0x200B, 0x200B},
                                                {0x200E, 0x200F},
                                                {0x2028, 0x202E},
                                                {0x2060, 0x2060},
                                                {0x2066, 0x2069},
                                                {0xFEFF, 0xFEFF}}};
constexpr std::uint32_t no_character = 0x80;  // stands for a byte that is no UTF-8

/// Takes one code point off the front; bytes that are no UTF-8 count as one each.
std::uint32_t take(std::string_view& text) {
    const auto lead = static_cast<unsigned char>(text.front());
    const std::size_t length = lead < 0x80 ? 1 : lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : lead >= 0xC0 ? 2 : 1;
    std::uint32_t code = length == 1 ? lead : lead & (0x7FU >> length);
    bool valid = (length > 1 || lead < 0x80) && length <= text.size();
    for (std::size_t i = 1; valid && i < length; ++i) {
        const auto byte = static_cast<unsigned char>(text[i]);
        valid = (byte & 0xC0U) == 0x80U;
        code = (code << 6U) | (byte & 0x3FU);
    }
    text.remove_prefix(valid ? length : 1);
    return valid ? code : no_character;
}

std::string padded(std::string_view text, int width, bool left) {
    const int missing = std::max(0, width - display_width(text));
    const std::string blanks(static_cast<std::size_t>(missing), ' ');
    return left ? std::string(text) + blanks : blanks + std::string(text);
}

/// The next word; a number keeps the unit behind it.
std::string_view take_word(std::string_view& text) {
    std::size_t end = std::min(text.find(' '), text.size());
    if (end > 0 && end < text.size() && text[end - 1] >= '0' && text[end - 1] <= '9') {
        const std::size_t next = std::min(text.find(' ', end + 1), text.size());
        std::string_view unit = text.substr(end + 1, next - end - 1);
        while (!unit.empty() && std::string_view(".,;:)").find(unit.back()) != std::string_view::npos)
            unit.remove_suffix(1);
        const auto& words = unit_words();
        if (unit == "%" || std::find(words.begin(), words.end(), unit) != words.end()) end = next;
    }
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    return word;
}

void trim_right(std::string& line) {
    while (!line.empty() && line.back() == ' ') line.pop_back();
}

}  // namespace

int display_width(std::string_view text) {
    int width = 0;
    while (!text.empty()) {
        const std::uint32_t code = take(text);
        width += within(empty_ranges, code) ? 0 : within(wide_ranges, code) ? 2 : 1;
    }
    return width;
}

std::string printable(std::string_view text) {
    std::string result;
    while (!text.empty()) {
        const std::string_view before = text;
        const std::uint32_t code = take(text);
        if (within(steering_ranges, code))
            result += '?';
        else
            result += before.substr(0, before.size() - text.size());
    }
    return result;
}

std::string paragraph(std::string_view text, int columns, std::string_view first) {
    const int indent = display_width(first);
    std::string result;
    std::string line(first);
    bool empty = true;
    while (!text.empty()) {
        const std::string_view word = take_word(text);
        if (word.empty()) continue;
        if (!empty && display_width(line) + 1 + display_width(word) > columns) {
            result += line + '\n';
            line.assign(static_cast<std::size_t>(indent), ' ');
            empty = true;
        }
        if (!empty) line += ' ';
        line += word;
        empty = false;
    }
    trim_right(line);
    return result + line + '\n';
}

std::string and_more(std::size_t total, std::size_t shown) {
    return total > shown ? fmt::format("and {} more (--all)\n", total - shown) : std::string();
}

TextTable::TextTable(std::vector<Column> columns) : columns_(std::move(columns)) {
    if (!columns_.empty()) columns_.front().left = true;
}

std::string TextTable::text(const Page& page) const {
    std::vector<int> width;
    for (const Column& column : columns_)
        width.push_back(std::max({column.width, display_width(column.title), display_width(column.unit)}));
    const std::size_t shown = std::min(rows_.size(), page.rows());
    for (std::size_t r = 0; r < shown; ++r)
        for (std::size_t c = 0; c < columns_.size(); ++c)
            width[c] = std::max(width[c], display_width(rows_[r][c]));
    int total = -1;
    for (const int w : width) total += w + 1;
    if (total > page.columns()) {
        // Only names grow: the first column gives way, down to its least width.
        const int least = std::max(columns_.front().width, display_width(columns_.front().title));
        width.front() = std::max(least, width.front() - (total - page.columns()));
    }

    const auto line_of = [&](auto&& cell_of) {
        std::string line;
        for (std::size_t c = 0; c < columns_.size(); ++c) {
            if (c > 0) line += ' ';
            const std::string cell = cell_of(c);
            if (c == 0 && display_width(cell) > width[0])
                line += cell + '\n' + std::string(static_cast<std::size_t>(width[0]), ' ');
            else
                line += padded(cell, width[c], columns_[c].left);
        }
        trim_right(line);
        return line + '\n';
    };
    std::string result = line_of([&](std::size_t c) { return columns_[c].title; });
    if (std::any_of(columns_.begin(), columns_.end(),
                    [](const Column& column) { return !column.unit.empty(); }))
        result += line_of([&](std::size_t c) { return columns_[c].unit; });
    for (std::size_t r = 0; r < shown; ++r) result += line_of([&](std::size_t c) { return rows_[r][c]; });
    return result + and_more(rows_.size(), shown);
}

std::string coloured(std::string_view text, Colour colour, const Page& page) {
    if (!page.colour) return std::string(text);
    const int code = colour == Colour::good ? 32 : colour == Colour::bad ? 31 : 33;
    return fmt::format("\x1b[{}m{}\x1b[0m", code, text);
}

}  // namespace evenhead::io
