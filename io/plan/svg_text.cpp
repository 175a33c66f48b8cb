#include "io/plan/svg_text.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "io/write/layout.hpp"

namespace evenhead::io {
namespace {

// Advance widths of DejaVu Sans, thousandths of an em, from the blank to the tilde.
constexpr std::array<short, 95> advance{
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361,  318, 337, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632,
    575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635,  611, 732, 684, 989, 685,
    611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352,  635, 634, 278, 278, 579,
    278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592,  525, 636, 337, 636, 838};
constexpr double bold_wider = 1.14, of_others = 0.9, of_wide = 1.2;

bool goes_on(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80;
}

/// Of the character that begins here.
double width_at(std::string_view text, std::size_t begin) {
    const auto code = static_cast<unsigned char>(text[begin]);
    if (code >= 32 && code < 127) return advance[static_cast<std::size_t>(code) - 32] / 1000.0;
    std::size_t end = begin + 1;
    while (end < text.size() && goes_on(text[end])) ++end;
    return display_width(text.substr(begin, end - begin)) > 1 ? of_wide : of_others;
}

}  // namespace

std::string escaped(std::string_view text) {
    std::string result;
    for (const char c : printable(text)) {
        switch (c) {
            case '&':
                result += "&amp;";
                break;
            case '<':
                result += "&lt;";
                break;
            case '>':
                result += "&gt;";
                break;
            case '"':
                result += "&quot;";
                break;
            case '\'':
                result += "&#39;";
                break;
            default:
                result += c;
        }
    }
    return result;
}

double text_width(std::string_view text, bool bold) {
    double width = 0;
    for (std::size_t i = 0; i < text.size(); ++i)
        if (!goes_on(text[i])) width += width_at(text, i);
    return bold ? width * bold_wider : width;
}

std::string cut_to_width(std::string_view text, double width) {
    if (text_width(text) <= width) return std::string(text);
    const double room = width - text_width("...");
    double so_far = 0;
    std::size_t end = 0;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (goes_on(text[i])) continue;
        if (so_far + width_at(text, i) > room) break;
        so_far += width_at(text, i);
        end = i + 1;
        while (end < text.size() && goes_on(text[end])) ++end;
    }
    return std::string(text.substr(0, end)) + "...";
}

std::string px(double value) {
    const double rounded = std::round(value * 100) / 100 + 0.0;
    std::array<char, 32> text{};
    const auto end = std::to_chars(text.data(), text.data() + text.size(), rounded, std::chars_format::fixed);
    std::string result(text.data(), end.ptr);
    return result == "-0" ? "0" : result;
}

}  // namespace evenhead::io
