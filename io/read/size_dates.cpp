// Sizes that a spreadsheet has taken for dates: 3/4 becomes 4-Mar, 03/04/2026 or 2026-03-04, and 1-1/4
// becomes 1/1/2004.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>

#include "io/read/csv.hpp"
#include "io/read/source.hpp"

namespace evenhead::io {

namespace {

bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c & 0x80);
}
bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/// The month of an English name or its first three letters, 1 to 12; 0 where it is none.
int month_of(std::string_view word) {
    constexpr std::array<std::string_view, 12> months = {"jan", "feb", "mar", "apr", "may", "jun",
                                                         "jul", "aug", "sep", "oct", "nov", "dec"};
    if (word.size() < 3) return 0;
    std::string lower(word.substr(0, 3));
    for (char& c : lower) c = static_cast<char>(c | 0x20);
    const auto found = std::find(months.begin(), months.end(), lower);
    return found == months.end() ? 0 : static_cast<int>(found - months.begin()) + 1;
}

/// Words and numbers of a date with one mark (- / or .) between all of them; empty where the cell has another
/// shape.
std::vector<std::string_view> parts_of(std::string_view cell) {
    std::vector<std::string_view> parts;
    char mark = 0;
    while (!cell.empty()) {
        const bool digits = is_digit(cell.front());
        std::size_t end = 0;
        while (end < cell.size() && (digits ? is_digit(cell[end]) : is_letter(cell[end]))) ++end;
        if (end == 0 || parts.size() == 3) return {};
        parts.push_back(cell.substr(0, end));
        cell.remove_prefix(end);
        if (cell.empty()) break;
        if ((mark && cell.front() != mark) ||
            (cell.front() != '-' && cell.front() != '/' && cell.front() != '.'))
            return {};
        mark = cell.front();
        cell.remove_prefix(1);
        if (cell.empty()) return {};
    }
    // 3/4 is a size; 1-4 and 1.5 are whatever somebody wrote.
    if (parts.size() == 2 && is_digit(parts[0][0]) && is_digit(parts[1][0])) return {};
    return parts.size() < 2 ? std::vector<std::string_view>{} : parts;
}

/// Below 10,000, or -1 for a word.
int number_of(std::string_view part) {
    int number = -1;
    if (part.size() <= 4) std::from_chars(part.data(), part.data() + part.size(), number);
    return number;
}

}  // namespace

std::optional<std::string> size_behind_date(std::string_view cell) {
    if (cell.size() < 5 || cell.size() > 24) return std::nullopt;
    if (const std::size_t blank = cell.find_first_of(" T");
        blank >= 8 && blank != std::string_view::npos && cell.find(':', blank) != std::string_view::npos)
        cell = cell.substr(0, blank);  // a time of day behind it
    const std::vector<std::string_view> parts = parts_of(cell);
    if (parts.empty()) return std::nullopt;
    int first = 0, second = 0, year = -1;
    const auto word =
        std::find_if(parts.begin(), parts.end(), [](std::string_view part) { return is_letter(part[0]); });
    if (word != parts.end()) {
        // 4-Mar, Mar-4, 4-Mar-26. Another language's month counts where the day stands before it.
        const int month = month_of(*word);
        const bool day_first = word == parts.begin() + 1;
        if ((!month && !(day_first && count_characters(*word) == 3)) || (!day_first && word != parts.begin()))
            return std::nullopt;
        first = month;
        second = number_of(parts[day_first ? 0 : 1]);
        if (second < 1 || second > 31) return std::nullopt;
        if (!month) return "";
    } else {
        const bool year_first = parts[0].size() == 4;
        first = number_of(parts[year_first ? 1 : 0]);
        second = number_of(parts[year_first ? 2 : 1]);
        year = number_of(parts[year_first ? 0 : 2]);
        if (first < 1 || second < 1 || first > 31 || second > 31 || year < 0) return std::nullopt;
    }
    if (first == 1 && second == 1 && year >= 0) return fmt::format("1-1/{}", year % 100);
    return fmt::format("{}/{}", std::min(first, second), std::max(first, second));
}

}  // namespace evenhead::io
