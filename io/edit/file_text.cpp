#include "io/edit/file_text.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace evenhead::io {
namespace {

bool is_blank(char c) {
    return c == ' ' || c == '\t';
}

/// Behind a text between quotes: one quote of a kind, or three.
std::size_t quoted_end(std::string_view text, std::size_t begin) {
    const char quote = text[begin];
    const std::string three(3, quote);
    const bool long_text = text.substr(begin, 3) == three;
    std::size_t at = begin + (long_text ? 3 : 1);
    while (at < text.size()) {
        if (quote == '"' && text[at] == '\\') {
            at += 2;
        } else if (!long_text && text[at] == quote) {
            return at + 1;
        } else if (long_text && text.substr(at, 3) == three) {
            at += 3;
            // Up to two quotes may stand right before the closing three.
            while (at < text.size() && text[at] == quote) ++at;
            return at;
        } else {
            ++at;
        }
    }
    return text.size();
}

}  // namespace

std::size_t toml_offset(std::string_view text, const Lines& lines, int line, int column) {
    std::size_t at = lines.begin(line);
    const auto continues = [&] {
        return at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U;
    };
    for (int passed = 1; passed < column && at < text.size(); ++passed) {
        ++at;
        while (continues()) ++at;
    }
    return at;
}

std::size_t toml_value_end(std::string_view text, std::size_t begin) {
    if (begin >= text.size()) return text.size();
    if (text[begin] == '"' || text[begin] == '\'') return quoted_end(text, begin);
    if (text[begin] != '[' && text[begin] != '{') {
        std::size_t end = std::min(text.find_first_of(",]}#\r\n", begin), text.size());
        while (end > begin && is_blank(text[end - 1])) --end;
        return end;
    }
    int open = 0;
    for (std::size_t at = begin; at < text.size();) {
        const char c = text[at];
        if (c == '"' || c == '\'') {
            at = quoted_end(text, at);
            continue;
        }
        if (c == '#') {
            at = std::min(text.find('\n', at), text.size());
            continue;
        }
        if (c == '[' || c == '{') ++open;
        if (c == ']' || c == '}') --open;
        ++at;
        if (open == 0) return at;
    }
    return text.size();
}

std::string toml_text(std::string_view value) {
    std::string written = "\"";
    for (const char c : value) {
        if (c == '"' || c == '\\') {
            written += '\\';
            written += c;
        } else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) {
            written += fmt::format("\\u{:04X}", static_cast<unsigned char>(c));
        } else {
            written += c;
        }
    }
    return written + '"';
}

std::vector<Span> csv_fields(std::string_view text, std::size_t begin) {
    std::vector<Span> fields;
    std::size_t at = begin;
    while (true) {
        while (at < text.size() && is_blank(text[at])) ++at;
        const std::size_t first = at;
        if (at < text.size() && text[at] == '"') {
            ++at;
            while (at < text.size()) {
                if (text[at] != '"') {
                    ++at;
                } else if (text.substr(at, 2) == "\"\"") {
                    at += 2;
                } else {
                    break;
                }
            }
        }
        at = std::min(text.find_first_of(",\n", at), text.size());
        std::size_t end = at;
        while (end > first && (is_blank(text[end - 1]) || text[end - 1] == '\r')) --end;
        fields.push_back({first, end});
        if (at >= text.size() || text[at] == '\n') return fields;
        ++at;
    }
}

std::string csv_text(std::string_view value, bool quotes) {
    if (!quotes && value.find_first_of(",\"\r\n") == std::string_view::npos) return std::string(value);
    std::string written = "\"";
    for (const char c : value) {
        written += c;
        if (c == '"') written += c;
    }
    return written + '"';
}

std::string_view line_end(std::string_view text) {
    const std::size_t first = text.find('\n');
    return first != std::string_view::npos && first > 0 && text[first - 1] == '\r' ? "\r\n" : "\n";
}

}  // namespace evenhead::io
