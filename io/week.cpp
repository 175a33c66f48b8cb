#include "io/week.hpp"

#include <fmt/format.h>

#include <charconv>

namespace evenhead::io {
namespace {

constexpr std::array<std::string_view, 7> long_words = {"monday", "tuesday",  "wednesday", "thursday",
                                                        "friday", "saturday", "sunday"};

std::optional<int> two_digits(std::string_view text, int most) {
    int value = -1;
    const auto end = std::from_chars(text.data(), text.data() + text.size(), value);
    if (text.empty() || text.size() > 2 || end.ec != std::errc() || end.ptr != text.data() + text.size() ||
        value < 0 || value > most)
        return std::nullopt;
    return value;
}

}  // namespace

std::optional<int> weekday_of(std::string_view word) {
    std::string lower(word);
    for (char& c : lower)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    for (std::size_t day = 0; day < weekday_words.size(); ++day)
        if (lower == weekday_words[day] || lower == long_words[day]) return static_cast<int>(day);
    return std::nullopt;
}

std::optional<int> time_of_day(std::string_view text) {
    const auto colon = text.find(':');
    if (colon == std::string_view::npos) return std::nullopt;
    const auto hour = two_digits(text.substr(0, colon), 24);
    std::string_view rest = text.substr(colon + 1);
    if (rest.size() == 5 && rest.substr(2) == ":00") rest = rest.substr(0, 2);
    if (rest.size() != 2) return std::nullopt;
    const auto minute = two_digits(rest, 59);
    if (!hour || !minute || (*hour == 24 && *minute > 0)) return std::nullopt;
    return 60 * *hour + *minute;
}

std::string clock_words(int minutes_after_midnight) {
    const int minutes = ((minutes_after_midnight % 1440) + 1440) % 1440;
    return fmt::format("{:02}:{:02}", minutes / 60, minutes % 60);
}

std::string days_words(model::Days days) {
    if (days == model::every_day) return "every day";
    std::string text;
    for (std::size_t day = 0; day < weekday_words.size(); ++day)
        if ((days >> day & 1U) != 0) text += (text.empty() ? "" : " ") + std::string(weekday_words[day]);
    return text;
}

std::string duration_words(int minutes) {
    if (minutes < 60) return fmt::format("{} min", minutes);
    return fmt::format("{} h {:02} min", minutes / 60, minutes % 60);
}

}  // namespace evenhead::io
