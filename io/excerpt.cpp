#include "io/excerpt.hpp"

#include <algorithm>

namespace evenhead::io {

std::string excerpt(std::string_view text, std::size_t longest) {
    std::string words;
    if (text.size() <= longest) {
        words = text;
    } else {
        std::size_t end = longest;
        while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) --end;
        words = std::string(text.substr(0, end)) + "...";
    }
    const auto is_control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; };
    std::replace_if(words.begin(), words.end(), is_control, ' ');
    return words;
}

std::string quoted(std::string_view text) {
    return "\"" + excerpt(text) + "\"";
}

std::string_view trimmed(std::string_view text) {
    const auto is_blank = [](char c) { return c == ' ' || c == '\t'; };
    while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
    return text;
}

}  // namespace evenhead::io
