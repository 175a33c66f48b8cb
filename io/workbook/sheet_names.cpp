#include "io/workbook/sheet_names.hpp"

#include <fmt/format.h>

#include "io/write/layout.hpp"

namespace evenhead::io {
namespace {

constexpr std::size_t most_units = 31;

std::size_t length_of_character(std::string_view text) {
    const auto first = static_cast<unsigned char>(text.front());
    const std::size_t length = first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
    return length < text.size() ? length : text.size();
}

/// As much of the text as takes at most so many UTF-16 units.
std::string cut(std::string_view text, std::size_t most) {
    std::string result;
    for (std::size_t units = 0; !text.empty();) {
        const std::size_t length = length_of_character(text);
        units += length == 4 ? 2 : 1;
        if (units > most) break;
        result += text.substr(0, length);
        text.remove_prefix(length);
    }
    return result;
}

/// What names are compared by. Letters outside ASCII count as one and the same: a spreadsheet folds their
/// case by rules of its own, and this can only make two names differ that need not.
std::string folded(std::string_view name) {
    std::string result;
    while (!name.empty()) {
        const std::size_t length = length_of_character(name);
        const char c = name.front();
        result += length > 1 ? '?' : c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
        name.remove_prefix(length);
    }
    return result;
}

std::string legal(std::string_view wanted) {
    std::string name = printable(wanted);
    for (char& c : name)
        if (std::string_view("[]:*?/\\").find(c) != std::string_view::npos) c = '_';
    name = cut(name, most_units);
    if (!name.empty() && name.front() == '\'') name.front() = '_';
    if (!name.empty() && name.back() == '\'') name.back() = '_';
    if (name.empty()) name = "run";
    if (folded(name) == "history") name += "_";
    return name;
}

}  // namespace

std::string SheetNames::give(std::string_view wanted) {
    const std::string name = legal(wanted);
    std::string free = name;
    for (int number = 2; !given_.insert(folded(free)).second; ++number) {
        const std::string ending = fmt::format(" {}", number);
        free = cut(name, most_units - ending.size()) + ending;
    }
    return free;
}

std::string quoted_sheet(std::string_view name) {
    std::string quoted = "'";
    for (const char c : name) quoted += c == '\'' ? std::string("''") : std::string(1, c);
    return quoted + "'";
}

}  // namespace evenhead::io
