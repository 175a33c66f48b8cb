#include "io/write/text_edits.hpp"

#include <algorithm>

namespace evenhead::io {

std::string TextEdits::apply(std::string_view text) const {
    return apply(text, 0, text.size());
}

std::string TextEdits::apply(std::string_view text, std::size_t begin, std::size_t end) const {
    std::vector<const Edit*> sorted;
    for (const Edit& edit : edits_)
        if (edit.begin >= begin && edit.end <= end) sorted.push_back(&edit);
    std::stable_sort(sorted.begin(), sorted.end(),
                     [](const Edit* one, const Edit* other) { return one->begin < other->begin; });
    std::string made;
    std::size_t from = begin;
    for (const Edit* edit : sorted) {
        made += text.substr(from, edit->begin - from);
        made += edit->with;
        from = edit->end;
    }
    made += text.substr(from, end - from);
    return made;
}

std::size_t offset_of(std::string_view text, const Lines& lines, int line, int column) {
    std::size_t at = lines.begin(line);
    for (int c = 1; c < column && at < text.size(); ++c) {
        ++at;
        while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U) ++at;
    }
    return at;
}

namespace {

/// Behind the string that opens at `begin` with `quote`.
std::size_t string_end(std::string_view text, std::size_t begin) {
    const char quote = text[begin];
    const std::string thrice(3, quote);
    const bool literal = quote == '\'';
    if (text.substr(begin, 3) == thrice) {
        std::size_t at = begin + 3;
        while (at < text.size() && text.substr(at, 3) != thrice) at += !literal && text[at] == '\\' ? 2 : 1;
        at = std::min(at + 3, text.size());
        while (at < text.size() && text[at] == quote) ++at;  // quotes just before the end belong to it
        return at;
    }
    std::size_t at = begin + 1;
    while (at < text.size() && text[at] != quote && text[at] != '\n')
        at += !literal && text[at] == '\\' ? 2 : 1;
    return std::min(at + 1, text.size());
}

}  // namespace

std::size_t toml_value_end(std::string_view text, std::size_t begin) {
    if (begin >= text.size()) return text.size();
    if (text[begin] == '"' || text[begin] == '\'') return string_end(text, begin);
    if (text[begin] == '[' || text[begin] == '{') {
        int depth = 0;
        for (std::size_t at = begin; at < text.size();) {
            const char c = text[at];
            if (c == '"' || c == '\'') {
                at = string_end(text, at);
                continue;
            }
            if (c == '#') {
                at = std::min(text.find('\n', at), text.size());
                continue;
            }
            if (c == '[' || c == '{') ++depth;
            if ((c == ']' || c == '}') && --depth == 0) return at + 1;
            ++at;
        }
        return text.size();
    }
    const std::size_t end = std::min(text.find_first_of(",]}#\r\n", begin), text.size());
    const std::size_t last = text.find_last_not_of(" \t", end - 1);
    return std::max(begin, last + 1);
}

std::string toml_string(std::string_view text) {
    std::string made = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') made += '\\';
        made += c;
    }
    return made + "\"";
}

std::string quoted_field(std::string_view text) {
    if (text.find_first_of(",\"\n;") == std::string_view::npos) return std::string(text);
    std::string made = "\"";
    for (const char c : text) {
        if (c == '"') made += '"';
        made += c;
    }
    return made + "\"";
}

std::vector<CsvField> csv_fields(std::string_view text, std::size_t begin) {
    std::vector<CsvField> fields;
    std::size_t at = begin;
    while (true) {
        const std::size_t first = at;
        bool inside = false;
        while (at < text.size() && (inside || (text[at] != ',' && text[at] != '\n'))) {
            if (text[at] == '"') inside = !inside;
            ++at;
        }
        std::size_t end = at;
        if ((at >= text.size() || text[at] == '\n') && end > first && text[end - 1] == '\r') --end;
        fields.push_back({first, end});
        if (at >= text.size() || text[at] == '\n') return fields;
        ++at;
    }
}

}  // namespace evenhead::io
